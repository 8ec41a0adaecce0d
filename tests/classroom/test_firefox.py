"""Firefox is driven as the other browser tests need it: typed, clicked, saved, killed, opened again."""

from __future__ import annotations

import pytest

from tests.firefox import Firefox

pytestmark = pytest.mark.slow

PAGE = """<!doctype html><meta charset="utf-8"><title>A page</title>
<input id="box"><button id="save">Save</button><p id="said"></p>
<script>
const box = document.querySelector("#box");
const asked = indexedDB.open("a page", 1);
asked.onupgradeneeded = () => asked.result.createObjectStore("kept");
asked.onsuccess = () => {
  const kept = asked.result.transaction("kept").objectStore("kept").get("box");
  kept.onsuccess = () => { box.value = kept.result || ""; box.dataset.ready = "yes"; };
};
box.addEventListener("input", () => {
  const text = box.value;
  const way = asked.result.transaction("kept", "readwrite", {durability: "strict"});
  way.objectStore("kept").put(text, "box");
  way.oncomplete = () => { document.querySelector("#said").textContent = text; };
});
document.querySelector("#save").addEventListener("click", () => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([box.value], {type: "text/plain"}));
  link.download = "answers.txt";
  link.click();
  console.error("saved");
});
</script>"""


def test_typed_killed_opened_again_and_saved(tmp_path):
    page = tmp_path / "a page.html"
    page.write_text(PAGE, encoding="utf-8")
    with Firefox(tmp_path / "profile", downloads=tmp_path / "saved") as firefox:
        firefox.open(page)
        firefox.wait_for("box.dataset.ready")
        firefox.type("#box", "28,5 − ü")
        firefox.wait_for("document.querySelector('#said').textContent === '28,5 − ü'")
        firefox.kill()
        firefox.start()
        firefox.open(page)
        firefox.wait_for("box.dataset.ready")
        assert firefox.evaluate("box.value") == "28,5 − ü"
        firefox.click("#save")
        saved = firefox.saved("answers.txt")
        assert saved.read_text(encoding="utf-8") == "28,5 − ü"
        assert firefox.errors == ["saved"]
        with pytest.raises(RuntimeError, match="no such box"):
            firefox.evaluate("(name) => Promise.reject(new Error(name))", "no such box")
