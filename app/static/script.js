"use strict";
// Makes the pages quicker; every page works without it.

document.documentElement.classList.add("script");

// ---- A live part fetches itself again: `data-live` holds the seconds between. ----
async function refresh(part) {
  if (document.hidden || part.contains(document.activeElement) || part.querySelector("details[open]")) return;
  const answer = await fetch(location.href, { headers: { "X-Fragment": "live" }, redirect: "manual" });
  if (answer.type === "opaqueredirect" || answer.status === 401) { location.reload(); return; }
  if (!answer.ok) throw new Error(answer.status);
  part.innerHTML = await answer.text();
  part.seen = Date.now();
}

// An old page says so, large: whoever reads it from two metres must not take it for the present.
function tellAge(part) {
  const stale = part.querySelector("[data-stale]");
  if (stale) stale.hidden = Date.now() - part.seen < 2.5 * Number(part.dataset.live) * 1000;
}

function keepLive(part) {
  part.seen = Date.now();
  const again = () => refresh(part).catch(() => {}).finally(() => tellAge(part));
  setInterval(again, Number(part.dataset.live) * 1000);
  document.addEventListener("visibilitychange", again);
  window.addEventListener("online", again);
}

// ---- The kitchen's clock goes on in the header, by the server's time, whatever the tablet's own clock says. ----
function keepClock(clock) {
  const ahead = new Date(clock.dateTime) - Date.now();
  const zone = clock.dataset.zone, format = { hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: zone };
  const show = () => { clock.textContent = new Date(Date.now() + ahead).toLocaleTimeString("en-GB", format); };
  setInterval(show, 5000);
}

// ---- Birds that are thrown away do not go into the tray. ----
function bindDiscards(birds) {
  birds.form.addEventListener("change", (event) => {
    if (event.target.name !== "discarded_birds") return;
    const away = birds.form.querySelectorAll("[name=discarded_birds]:checked").length;
    const before = away + (event.target.checked ? -1 : 1);
    const onSpit = Number(birds.dataset.onSpit);
    if (Number(birds.value) === onSpit - before) birds.value = String(onSpit - away);
  });
}

// ---- A second tap while the first is on its way sends nothing. ----
function sendOnce(event) {
  const form = event.target;
  if (event.defaultPrevented) return;  // a pad sends by itself
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  setTimeout(() => delete form.dataset.sent, 8000);
}

// What of a page needs the script, when it is opened and when its main part was exchanged.
function bind(root) {
  root.querySelectorAll("[data-live]").forEach(keepLive);
  root.querySelectorAll("[data-pad]").forEach(bindPad);
  root.querySelectorAll("form:has([data-meaning])").forEach(bindMeaning);
  root.querySelectorAll("form:has([data-unit])").forEach(bindScale);
  root.querySelectorAll("form:has([data-saving])").forEach(bindSaving);
  root.querySelectorAll("[data-on-spit]").forEach(bindDiscards);
}

document.addEventListener("DOMContentLoaded", () => {
  bind(document);
  document.querySelectorAll("[data-clock]").forEach(keepClock);
  document.addEventListener("submit", sendOnce);
});
window.addEventListener("pageshow", () => document.querySelectorAll("form").forEach((form) => delete form.dataset.sent));
