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

// ---- The number pad types into its input. ----
function pressed(input, key) {
  if (key === "back") input.value = input.value.slice(0, -1);
  else if (key !== "." || !/[.,]/.test(input.value)) input.value += key;
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

function bindPad(pad) {
  const input = document.getElementById(pad.dataset.pad);
  if (matchMedia("(pointer: coarse)").matches) input.inputMode = "none";  // the tablet's own keyboard stays away
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (key) pressed(input, key.dataset.key);
  });
}

// ---- What a number means and what is asked about it: looked up in the tables of the page; a band begins at its lowest value. ----
function bandAt(lows, value) {
  let found = 0;
  lows.forEach((low, number) => { if (value >= low) found = number; });
  return found;
}

function bandOf(form, table, value) {
  const bands = [...form.querySelectorAll(`template${table}`)];
  return bands[bandAt(bands.map((one) => Number(one.dataset.from)), value)];
}

function scaleOf(form) {
  const probe = form.querySelector("[name=probe]:checked");
  return (probe && probe.closest("label").dataset.scale) || "dual";
}

function showBand(form) {
  const now = form.querySelector("[data-now]"), typed = form.elements.temperature.value.replace(",", ".").trim();
  const unit = (form.querySelector("[data-unit]") || now).textContent.slice(-1);
  now.replaceChildren();
  if (!"FC".includes(unit) || !/^-?\d+(\.\d{1,2})?$/.test(typed)) return;
  const means = bandOf(form, `[data-band="${unit}"]`, Number(typed));
  const asks = bandOf(form, `[data-ask="${unit}"][data-scale="${scaleOf(form)}"]`, Number(typed));
  for (const band of [means, asks]) if (band) now.append(band.content.cloneNode(true));
  for (const said of now.querySelectorAll("p")) said.lastChild.textContent = said.lastChild.textContent.replaceAll("…", typed);
}

// ---- What else a number means is asked of the server while it is typed; busy until it stands there. ----
function bindMeaning(form) {
  const target = form.querySelector("[data-meaning]"), now = form.querySelector("[data-now]");
  let asked = 0;
  async function ask(mine) {
    const answer = await fetch(form.action || location.href, { method: "POST", body: new FormData(form), headers: { "X-Fragment": "meaning" } });
    const text = await answer.text();
    if (mine !== asked || !(answer.ok || answer.status === 422)) return;
    target.innerHTML = text;
    if (now) now.replaceChildren();
  }
  async function askIn(milliseconds) {
    const mine = ++asked;
    target.ariaBusy = "true";
    await new Promise((resolve) => setTimeout(resolve, milliseconds));
    if (mine === asked) await ask(mine).catch(() => {});
    if (mine === asked) target.ariaBusy = null;
  }
  const show = (milliseconds) => { if (now) showBand(form); askIn(milliseconds); };
  form.addEventListener("input", () => show(250));
  form.addEventListener("change", () => show(50));
}

// ---- The probe says its scale; a probe with both asks which. ----
function bindScale(form) {
  const show = () => {
    const probe = form.querySelector("[name=probe]:checked");
    const asks = form.querySelector("[data-asks-unit]");
    if (!probe && !form.querySelector("[name=unit]")) return; // one scale only: its sign stands there already
    const scale = scaleOf(form);
    if (asks) asks.hidden = scale !== "dual";
    const chosen = form.querySelector("[name=unit]:checked");
    const unit = scale === "dual" ? (chosen ? chosen.value : "") : scale;
    for (const sign of form.querySelectorAll("[data-unit]")) sign.textContent = "°" + unit;
  };
  form.addEventListener("change", show);
  show();
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
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  setTimeout(() => delete form.dataset.sent, 8000);
}

document.addEventListener("DOMContentLoaded", () => {
  document.querySelectorAll("[data-live]").forEach(keepLive);
  document.querySelectorAll("[data-clock]").forEach(keepClock);
  document.querySelectorAll("[data-pad]").forEach(bindPad);
  document.querySelectorAll("form:has([data-meaning])").forEach(bindMeaning);
  document.querySelectorAll("form:has([data-unit])").forEach(bindScale);
  document.querySelectorAll("[data-on-spit]").forEach(bindDiscards);
  document.addEventListener("submit", sendOnce);
});
window.addEventListener("pageshow", () => document.querySelectorAll("form").forEach((form) => delete form.dataset.sent));
