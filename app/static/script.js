"use strict";
// Makes the pages quicker; every page works without it.

document.documentElement.classList.add("script");

// ---- A live part fetches itself again: `data-live` holds the seconds between. ----
const UNCHANGED = 304;

// `known` names what the page has already: where that is still so, the answer is UNCHANGED and empty.
async function fetchLive(address, known) {
  const headers = { "X-Fragment": "live", ...(known && { "If-None-Match": known }) };
  const answer = await fetch(address, { headers, redirect: "manual", cache: "no-store" });
  if (answer.headers.has("X-Now")) setTime(Number(answer.headers.get("X-Now")), Number(answer.headers.get("X-Behind")));
  return answer;
}

async function refresh(part) {
  if (document.hidden || part.contains(document.activeElement) || part.querySelector("details[open]")) return;
  const answer = await fetchLive(location.href, part.known);
  if (answer.type === "opaqueredirect" || answer.status === 401) { location.reload(); return; }
  if (answer.status !== UNCHANGED) {
    if (!answer.ok) throw new Error(answer.status);
    part.innerHTML = await answer.text();
    part.known = answer.headers.get("ETag");
    part.querySelectorAll(TABLES).forEach(labelTable);
  }
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
let ahead = 0;

function showTime() {
  const clock = document.querySelector("[data-clock]");  // the header may have been exchanged since
  if (!clock) return;
  const hours = clock.dataset.clock === "12" ? { hour: "numeric", hourCycle: "h12" } : { hour: "2-digit", hourCycle: "h23" };
  const format = { ...hours, minute: "2-digit", timeZone: clock.dataset.zone };
  clock.textContent = new Date(Date.now() + ahead).toLocaleTimeString("en-GB", format).toLowerCase();
}

// A clock that is off is said: two minutes, as the ledger takes nothing from further ahead. Where the server's is behind
// its own records, that one is wrong: nothing is said of the tablet's.
function setTime(now, behind) {
  ahead = now - Date.now();
  const said = document.querySelector("[data-clock-off]"), minutes = Math.round(Math.abs(ahead) / 60000);
  if (!said) return;
  said.hidden = !behind && minutes < 2;
  said.textContent = behind ? said.dataset.serverOff.replace("#", behind) : said.dataset.clockOff.replace("#", minutes);
}

// ---- From whom the tablet takes entries: asked again when the time of whoever is there is up, and after a sleep. ----
let leaving = 0;

function keepWho() {
  const link = document.querySelector("[data-who] [data-leaves]");
  clearTimeout(leaving);
  if (link) leaving = setTimeout(askWho, (Number(link.dataset.leaves) + 1) * 1000);
}

async function askWho() {
  const part = document.querySelector("[data-who]"), here = encodeURIComponent(location.pathname + location.search);
  if (document.hidden || !part) return;
  try {
    const answer = await fetchLive(`${part.dataset.who}?next=${here}`);
    if (answer.ok) part.innerHTML = await answer.text();
    keepWho();
  } catch {
    leaving = setTimeout(askWho, 20000); // the server is gone: it is asked again
  }
}

// ---- On a phone the pages unfold from the head, which may have been exchanged since. ----
function unfoldPages(event) {
  const button = event.target.closest && event.target.closest(".masthead .pages");
  if (!button) return;
  const isUnfolded = document.getElementById(button.getAttribute("aria-controls")).classList.toggle("unfolded");
  button.setAttribute("aria-expanded", String(isUnfolded));
}

// ---- A tablet's screen stays awake while a page is shown, where the browser can: it lets go by itself when hidden. ----
async function stayAwake() {
  if (!document.hidden && navigator.wakeLock) await navigator.wakeLock.request("screen").catch(() => {});
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

// ---- One tap says yes to every check that has no answer of its own; taken back, it takes those back. ----
function bindAllRight(tick) {
  let answered = [];
  tick.addEventListener("change", () => {
    if (!tick.checked) { for (const yes of answered) yes.checked = false; answered = []; return; }
    const open = [...tick.closest("[data-checks]").querySelectorAll("fieldset")].filter((check) => !check.querySelector("[type=radio]:checked"));
    answered = open.map((check) => check.querySelector("[value=yes]"));
    for (const yes of answered) yes.checked = true;
  });
}

// ---- What one tap wrote is undone for some seconds; after them the entry is withdrawn on its own page. ----
function keepUndo(form) {
  setTimeout(() => form.remove(), Number(form.dataset.undo) * 1000);
}

// ---- A phrase that is tapped is put into the field beside it, after what was typed there by hand. ----
function bindPhrases(group) {
  const field = group.querySelector("textarea"), phrases = [...group.querySelectorAll("input[type=radio]")];
  for (const phrase of phrases) phrase.checked ||= phrase.value === field.value;  // what was answered before it was sent back
  const chosen = () => phrases.find((phrase) => phrase.checked);
  const before = (phrase) => (phrase && field.value.endsWith(phrase.value) ? field.value.slice(0, -phrase.value.length) : field.value).trim();
  let typed = before(chosen());
  group.addEventListener("change", (event) => {
    if (phrases.includes(event.target)) field.value = [typed, event.target.value].filter(Boolean).join(" ");
  });
  field.addEventListener("input", () => {
    const phrase = chosen();
    if (phrase && !field.value.endsWith(phrase.value)) phrase.checked = false;
    typed = before(chosen());
  });
}

// ---- What can become of the food under all findings that are answered; what cannot is not offered. ----
function bindAlso(form) {
  const also = [...form.querySelectorAll("[name=also]")];
  form.addEventListener("change", () => {
    const allowed = also.filter((tick) => tick.checked).map((tick) => tick.dataset.allows.split(" "));
    for (const way of form.querySelectorAll("[name=disposition]")) {
      way.disabled = !allowed.every((ways) => ways.includes(way.value));
      if (way.disabled) way.checked = false;
    }
  });
}

// ---- What is typed for the plan is told at once: stricter, looser or the same. A variance is asked for where it is
// looser; what was typed of one stays in its fields while they are not shown. ----
function showVariance(form, told) {
  const variance = form.querySelector("[data-variance]"), canBeRead = told.querySelector(".says");
  if (!variance || !canBeRead) return;
  const fields = [...variance.querySelectorAll("[data-known]")], isWanted = Boolean(told.querySelector("[data-wants-variance]"));
  // The one that is named already is proposed when the fields come, so that whoever sends it has seen it.
  if (isWanted && variance.hidden && fields.every((field) => !field.value)) for (const field of fields) field.value = field.dataset.known;
  variance.hidden = !isWanted;
}

function bindAsk(form) {
  const told = form.querySelector("[data-told]");
  let asked = 0;
  form.addEventListener("input", async () => {
    const mine = ++asked;
    await new Promise((resolve) => setTimeout(resolve, 250));
    if (mine !== asked) return;
    const typed = new FormData(form);
    typed.delete("csrf_token");
    const answer = await fetch(`${form.dataset.ask}?${new URLSearchParams(typed)}`, { headers: { "X-Fragment": "told" } });
    if (mine !== asked || !answer.ok) return;
    told.innerHTML = await answer.text();
    showVariance(form, told);
  });
}

// ---- A part that takes a while comes after the page. ----
async function loadPart(part) {
  part.ariaBusy = "true";
  const answer = await fetch(part.dataset.load, { headers: { "X-Fragment": "part" } });
  if (answer.ok) part.innerHTML = await answer.text();
  part.ariaBusy = null;
  // What is still being counted is asked for again.
  if (answer.ok && part.querySelector("[data-again]")) setTimeout(() => loadPart(part).catch(() => {}), 2000);
}

// ---- A file that is too large, or of another kind, is said before it is sent. ----
function bindFile(field) {
  field.addEventListener("change", () => {
    const file = field.files[0];
    const isLarge = file && file.size > Number(field.dataset.largest);
    const isOther = file && !field.dataset.kinds.split(" ").includes(file.type);
    field.setCustomValidity(isLarge ? field.dataset.tooLarge : isOther ? field.dataset.wrongKind : "");
    field.reportValidity();
  });
}

// ---- On a narrow screen a table stands as a list, in which each cell says of which column it is. ----
const TABLES = "table:has(thead)";

function labelTable(table) {
  const names = [...table.querySelectorAll("thead th")].map((head) => head.textContent.trim());
  for (const row of [...table.tBodies].flatMap((body) => [...body.rows])) {
    let column = 0;
    for (const cell of row.cells) {
      if (names[column] && cell.colSpan === 1) cell.dataset.label = names[column];
      column += cell.colSpan;
    }
  }
  table.classList.add("labelled");
}

// ---- A field shows a date in the order of the device's country: 06/07 is said in words beside it. ----
function bindDate(field) {
  const said = document.createElement("span"), locale = document.documentElement.lang === "en" ? "en-GB" : document.documentElement.lang;
  const day = new Intl.DateTimeFormat(locale, { weekday: "short", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
  const say = () => { said.textContent = field.value ? day.format(new Date(`${field.value.slice(0, 10)}T00:00Z`)).replace(",", "") : ""; };
  said.className = "chosen";
  field.before(said);
  field.addEventListener("input", say);
  say();
}

// What of a page needs the script, when it is opened and when its main part was exchanged.
function bind(root) {
  root.querySelectorAll(TABLES).forEach(labelTable);
  root.querySelectorAll("[data-live]").forEach(keepLive);
  root.querySelectorAll("[data-pad]").forEach(bindPad);
  root.querySelectorAll("form:has([data-meaning], [data-now])").forEach(bindMeaning);
  root.querySelectorAll("form:has([data-unit])").forEach(bindScale);
  root.querySelectorAll("form:has([data-saving])").forEach(bindSaving);
  root.querySelectorAll("[data-phrases]").forEach(bindPhrases);
  root.querySelectorAll("form:has([name=also])").forEach(bindAlso);
  root.querySelectorAll("[data-on-spit]").forEach(bindDiscards);
  root.querySelectorAll("[data-undo]").forEach(keepUndo);
  root.querySelectorAll("[data-ask]").forEach(bindAsk);
  root.querySelectorAll("[data-load]").forEach((part) => loadPart(part).catch(() => {}));
  root.querySelectorAll("[data-largest]").forEach(bindFile);
  root.querySelectorAll("input[type=date], input[type=datetime-local]").forEach(bindDate);
  root.querySelectorAll("[data-all-right]").forEach(bindAllRight);
  root.querySelectorAll("[data-sound]").forEach(bindSound);
  root.querySelectorAll("[data-own-zone]").forEach((field) => { field.value ||= Intl.DateTimeFormat().resolvedOptions().timeZone || ""; });
}

// What was saved, or what is wrong, is where the keyboard and a reading machine go on from.
function focusMessage() {
  const said = document.querySelector("main .message:is(.done, .error, [role=status]), main [role=alert]");
  if (!said || document.activeElement !== document.body) return;
  said.tabIndex = -1;
  said.focus({ preventScroll: true });
}

document.addEventListener("DOMContentLoaded", () => {
  setTime(Number(document.documentElement.dataset.now), Number(document.documentElement.dataset.behind));
  setInterval(showTime, 5000);
  bind(document);
  document.querySelectorAll("[data-alarm]").forEach(keepDue);
  keepMeanwhile();
  keepWho();
  focusMessage();
  if (document.documentElement.dataset.tablet) {
    stayAwake();
    document.addEventListener("visibilitychange", stayAwake);
    document.addEventListener("visibilitychange", askWho);
  }
  document.addEventListener("click", unfoldPages);
});
