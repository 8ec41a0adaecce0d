"use strict";

// Keeps what is typed on the device, also when the browser is killed.
//
//   const kept = await Keep.open(Keep.name(lesson, student, stamp), blank);
//                      // blank: the state of a page that nobody touched; rejects if nothing can be kept
//   kept.get();        // the state that was kept, or null
//   kept.put(state);   // a promise: fulfilled when the state is safe, rejected if it can't be kept
//   kept.watch((state) => …); // another tab of the same page has changed it: show this state now
//
// A state is anything that JSON can hold; call `put` with the whole state at each change. It is kept
// twice: in IndexedDB, which is told to wait for the disk, and in localStorage, for browsers that
// refuse IndexedDB to a page from disk. The copy that was written last counts, by its counter.
//
// Pages from disk can share one store, and the same page can be open in two tabs. So every page has
// a name of its own, and what two tabs changed is put together: each tab's boxes stay, and of one
// box that both changed, what was typed last. `Keep.works` says afterwards whether anything is kept.

const Keep = (() => {
  const DATABASE = "coursekit answers";
  const STORE = "kept";
  const PATIENCE = 4000; // ms for a database that doesn't answer when it is opened
  const NOWHERE = "This browser keeps nothing of what you type: it is gone when this page is closed. " +
    "Save or copy your answers before that, or open the page in another browser.";
  const FULL = "What you typed last could not be kept on this device. Save or copy your answers now, " +
    "before this page is closed.";

  const keep = {works: null, name: (...parts) => JSON.stringify(parts.map(String)), open, merged};

  // --- two states that came of one

  const isMap = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

  function same(one, other) {
    if (one === other) return true;
    if (typeof one !== "object" || typeof other !== "object" || !one || !other) return false;
    const names = Object.keys(one);
    return Array.isArray(one) === Array.isArray(other) && names.length === Object.keys(other).length &&
      names.every((name) => Object.keys(other).includes(name) && same(one[name], other[name]));
  }

  const empty = (value) => value === "" || value === null || same(value, []) || same(value, {});
  const copy = (value) => value === undefined ? undefined : JSON.parse(JSON.stringify(value));

  // what both changed, part by part: `mine` was typed last and wins where both changed one part
  function merged(base, mine, theirs) {
    if (same(mine, theirs) || same(theirs, base)) return mine;
    if (same(mine, base) || (base === undefined && empty(mine))) return theirs;
    if (isMap(mine) && isMap(theirs)) {
      const from = isMap(base) ? base : {};
      const names = [...new Set([...Object.keys(theirs), ...Object.keys(mine)])];
      const pairs = names.map((name) => [name, merged(from[name], mine[name], theirs[name])]);
      return Object.fromEntries(pairs.filter(([, value]) => value !== undefined));
    }
    if (Array.isArray(mine) && Array.isArray(theirs)) return mergedLists(Array.isArray(base) ? base : [], mine, theirs);
    return mine;
  }

  // boxes in a row stay where they are; of lists that grew, both ends stay
  function mergedLists(base, mine, theirs) {
    if (mine.length === theirs.length && mine.length === base.length)
      return mine.map((value, i) => merged(base[i], value, theirs[i]));
    const grown = (list) => list.length > base.length && same(list.slice(0, base.length), base);
    if (grown(mine) && grown(theirs)) return [...theirs, ...mine.slice(base.length)];
    return mine;
  }

  // --- the two places

  function asked(request) {
    return new Promise((done, failed) => {
      request.onsuccess = () => done(request.result);
      request.onerror = (event) => {
        event.preventDefault();
        failed(request.error);
      };
    });
  }

  class Database {
    async open() {
      const request = indexedDB.open(DATABASE, 1);
      request.onupgradeneeded = () => request.result.createObjectStore(STORE);
      const late = new Promise((_, failed) => setTimeout(() => failed(new Error("no answer")), PATIENCE));
      this.base = await Promise.race([asked(request), late]);
      this.base.onversionchange = this.base.onclose = () => this.leave();
      return this;
    }

    leave() {
      if (this.base) this.base.close();
      this.base = null;
    }

    // phones close databases behind a page's back, so a lost one is opened once more
    async transaction(mode) {
      if (!this.base) await this.open();
      try {
        return this.base.transaction(STORE, mode, {durability: "strict"});
      } catch (error) {
        this.leave();
        await this.open();
        return this.base.transaction(STORE, mode, {durability: "strict"});
      }
    }

    async read(name) {
      const one = await this.transaction("readonly");
      return (await asked(one.objectStore(STORE).get(name))) || null;
    }

    // read and write in one go, so that no other tab can come between
    async change(name, change) {
      const one = await this.transaction("readwrite");
      const store = one.objectStore(STORE);
      let record = null;
      const done = new Promise((good, bad) => {
        one.oncomplete = good;
        one.onabort = one.onerror = () => bad(one.error);
      });
      const before = store.get(name);
      before.onsuccess = () => {
        record = change(before.result || null);
        store.put(record, name);
      };
      await done;
      return record;
    }
  }

  class Local {
    constructor() {
      localStorage.setItem(`${DATABASE} trial`, "kept");
      localStorage.removeItem(`${DATABASE} trial`);
    }

    key(name) { return `${DATABASE} ${name}`; }

    read(name) {
      try {
        return JSON.parse(localStorage.getItem(this.key(name)));
      } catch (error) {
        return null; // half a record is no record
      }
    }

    change(name, change) {
      const record = change(this.read(name));
      localStorage.setItem(this.key(name), JSON.stringify(record));
      return record;
    }
  }

  const newer = (one, other) => ((one ? one.count : 0) >= (other ? other.count : 0) ? one : other);

  async function attempt(make) {
    try {
      return await make();
    } catch (error) {
      return undefined;
    }
  }

  async function open(name, blank) {
    const database = await attempt(() => new Database().open());
    const found = database && (await attempt(() => database.read(name)));
    const places = {
      database: found === undefined ? null : {store: database, base: found ? found.state : copy(blank)},
      local: (await attempt(() => ({store: new Local()}))) || null,
    };
    keep.works = Boolean(places.database || places.local);
    if (!keep.works) throw new Error(NOWHERE);
    const quick = places.local ? places.local.store.read(name) : null;
    if (places.local) places.local.base = quick ? quick.state : copy(blank);
    return new Kept(name, places, newer(found || null, quick));
  }

  // --- one page's state

  // Each place has a `base`: what this page knew of it when it last wrote or read there. What
  // stands there now came of that, so `merged` can tell what another tab has changed since.
  class Kept {
    constructor(name, {database, local}, record) {
      Object.assign(this, {name, database, local, watchers: []});
      this.count = record ? record.count : 0;
      this.view = record ? record.state : null; // what this page shows
      this.waiting = null; // what is to be put next
      this.busy = false;
      this.news = false; // whether another tab may have put something meanwhile
      this.listen();
    }

    get() { return copy(this.view); }

    watch(tell) { this.watchers.push(tell); }

    put(state) {
      this.view = copy(state);
      const done = this.waiting ? this.waiting.done : [];
      this.count += 1;
      this.waiting = {mine: this.view, done, local: this.putLocal(this.view)};
      const promise = new Promise((good, bad) => done.push({good, bad}));
      if (!this.busy) this.work();
      return promise;
    }

    // the quick copy, which is there before the next key is pressed
    putLocal(mine) {
      if (!this.local) return null;
      try {
        const record = this.local.store.change(this.name, this.change(this.local, mine, this.count));
        this.count = record.count;
        this.local.base = mine;
        return record;
      } catch (error) {
        return null; // it is full, or was taken away
      }
    }

    change(place, mine, count) {
      return (before) => before
        ? {count: Math.max(count, before.count + 1), state: merged(place.base, mine, before.state)}
        : {count, state: mine};
    }

    async work() {
      this.busy = true;
      while (this.waiting) {
        const next = this.waiting;
        this.waiting = null;
        const record = await this.putDatabase(next.mine, this.count);
        const stands = record || (next.local && (this.local.store.read(this.name) || next.local));
        if (stands) this.stands(next.mine, stands, record ? this.database : this.local);
        for (const {good, bad} of next.done) stands ? good() : bad(new Error(FULL));
        if (this.channel) this.channel.postMessage(this.count);
      }
      this.busy = false;
      if (this.news) this.look();
    }

    async putDatabase(mine, count) {
      if (!this.database) return null;
      const change = this.change(this.database, mine, count);
      const record = await attempt(() => this.database.store.change(this.name, change));
      if (record) this.database.base = mine;
      return record;
    }

    // what stands now may hold more than this page put there
    stands(mine, record, place) {
      this.count = Math.max(this.count, record.count);
      if (this.watchers.length) {
        place.base = record.state;
        this.show(merged(mine, this.view, record.state));
      }
    }

    show(state) {
      if (same(state, this.view)) return;
      this.view = copy(state);
      if (this.waiting) this.waiting.mine = this.view;
      for (const tell of this.watchers) tell(copy(state));
    }

    // another tab may have put something, or this one may have slept while it did
    async look() {
      this.news = this.busy;
      if (this.busy || !this.watchers.length) return;
      const view = this.view;
      const found = this.database && (await attempt(() => this.database.store.read(this.name)));
      if (this.busy || this.view !== view) return this.look();
      const quick = this.local ? this.local.store.read(this.name) : null;
      const record = newer(found || null, quick);
      if (!record || record.count <= this.count) return;
      this.count = record.count;
      if (found) this.database.base = found.state;
      if (quick) this.local.base = quick.state;
      this.show(record.state);
    }

    listen() {
      const look = () => this.look();
      try {
        this.channel = new BroadcastChannel(`${DATABASE} ${this.name}`);
        this.channel.onmessage = look;
      } catch (error) {
        this.channel = null;
      }
      for (const event of ["storage", "pageshow", "focus"]) addEventListener(event, look);
      document.addEventListener("visibilitychange", look);
    }
  }

  return keep;
})();
