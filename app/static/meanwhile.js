"use strict";
// What another device saves of the same thing is told on its pad by itself, and drawn there. What is typed stays.

const ASK_MEANWHILE_MS = 5000;

async function askMeanwhile() {
  const place = document.querySelector("main [data-meanwhile]"), form = place && place.closest("form");
  if (!form || document.hidden || onItsWay || form.dataset.sent) return;
  const answer = await fetchLive(place.dataset.meanwhile, place.known);
  if (!answer.ok) return;
  const now = new DOMParser().parseFromString(await answer.text(), "text/html");
  await letGo();
  if (!place.isConnected || onItsWay || form.dataset.sent) return;  // what is saved here makes the pad anew
  place.known = answer.headers.get("ETag");
  tellMeanwhile(place, now.querySelector("[data-lines]"));
  for (const part of now.querySelectorAll("template[data-part]")) {
    const shown = place.closest("main").querySelector(part.dataset.part);
    if (shown) replaceInPlace(shown, part.content);
  }
  drawMeanwhile(form, now);
}

// No key moves under a finger: what goes leaves its room, and what had none gets none.
function replaceInPlace(shown, content) {
  if (!shown.hasChildNodes()) return;
  shown.style.minHeight = `${shown.getBoundingClientRect().height}px`;
  shown.replaceChildren(content);
}

// The lines stand where "Saved" stood: they are newer.
function tellMeanwhile(place, lines) {
  if (place.innerHTML === lines.innerHTML) return;
  place.replaceChildren(...lines.childNodes);
  const said = place.closest("main").querySelector(":scope > .message.done");
  if (!said || !place.hasChildNodes()) return;
  const hadFocus = said.contains(document.activeElement);
  said.remove();
  place.tabIndex = -1;
  if (hadFocus) place.focus({ preventScroll: true });
}

function drawMeanwhile(form, now) {
  for (const bird of now.querySelectorAll("template[data-bird]")) {
    const choice = form.querySelector(`[name=bird][value="${bird.dataset.bird}"]`), drawn = choice && choice.closest("label");
    if (!drawn) continue;  // put on since: it is drawn when the page is opened again
    drawn.className = `bird ${bird.dataset.state}`;
    drawn.querySelector(".held").replaceChildren(bird.content);
  }
  const next = now.querySelector("template[data-following]");
  if (!next) return;
  form.querySelector("[data-probed]").dataset.probed = next.dataset.probedNow;
  form.dataset.follow = next.dataset.following;
  if ((form.dataset.nextSpit || "") === next.dataset.nextSpit) return;
  form.dataset.nextSpit = next.dataset.nextSpit;
  form.nextPage = form.leaving = null;  // another spit comes next: it is fetched anew
}

function keepMeanwhile() {
  const again = () => askMeanwhile().catch(() => {});
  setInterval(again, ASK_MEANWHILE_MS);
  document.addEventListener("visibilitychange", again);
  window.addEventListener("online", again);
}
