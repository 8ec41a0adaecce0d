// Turns and enlarges the photo, and remembers how it lay, as long as the window is open.
"use strict";

const picture = document.querySelector(".frame img");

if (picture) {
  const box = picture.parentElement, frame = box.parentElement, key = `photo ${picture.dataset.photo}`;
  let [turn, zoom] = JSON.parse(sessionStorage.getItem(key) || "[0, 1]");

  const lay = () => {
    const ratio = picture.naturalHeight / picture.naturalWidth;
    if (!ratio) return;
    const across = turn % 180 !== 0;
    const width = frame.clientWidth * zoom;
    const [wide, high] = across ? [width / ratio, width] : [width, width * ratio];
    const below = across ? wide : high;
    Object.assign(box.style, {width: `${width}px`, height: `${below}px`});
    Object.assign(picture.style, {
      width: `${wide}px`, height: `${high}px`, left: `${(width - wide) / 2}px`, top: `${(below - high) / 2}px`,
      transform: `rotate(${turn}deg)`,
    });
    sessionStorage.setItem(key, JSON.stringify([turn, zoom]));
  };

  document.querySelector(".tools").hidden = false;
  document.querySelector(".tools").addEventListener("click", (event) => {
    const {turn: by, zoom: times} = event.target.dataset;
    if (by) turn = (turn + Number(by) + 360) % 360;
    if (times) zoom = Math.min(8, Math.max(0.4, zoom * Number(times)));
    lay();
  });
  addEventListener("resize", lay);
  if (picture.complete) lay(); else picture.addEventListener("load", lay);
}
