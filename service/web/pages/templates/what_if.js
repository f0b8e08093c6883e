"use strict";
(() => {
  const form = document.getElementById("what-if");
  const said = document.getElementById("what-if-said");
  const REPLACED = ["figures", "below", "what-if-said"];
  const PAUSE = 400;
  let waiting = 0;
  let asked = 0;

  const show = async () => {
    const mine = ++asked;
    said.textContent = "Costing …";
    try {
      const query = new URLSearchParams(new FormData(form));
      const answer = await fetch(`${location.pathname}?${query}`, { headers: { Accept: "text/html" } });
      const found = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (mine !== asked) return;
      if (!found.getElementById("figures")) {
        said.textContent = found.querySelector("h1")?.textContent ?? "No answer came.";
        return;
      }
      for (const id of REPLACED) {
        document.getElementById(id).replaceChildren(...found.getElementById(id).childNodes);
      }
    } catch {
      if (mine === asked) said.textContent = "No answer came. Is there a connection?";
    }
  };

  const soon = () => {
    clearTimeout(waiting);
    waiting = setTimeout(show, PAUSE);
  };

  form.addEventListener("input", soon);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(waiting);
    show();
  });
})();
