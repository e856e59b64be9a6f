"use strict";
// The number pad: what is typed, what it means, and saving it without leaving the page. Every page works without it.

// ---- The number pad: it types into the number of its form that was tapped last, at first into its own. ----
const NUMBERS = "input[inputmode=numeric], input[inputmode=decimal], input[data-keys]";

function pressed(input, key) {
  const isWhole = input.dataset.keys === "numeric";
  if (key === "back") input.value = input.value.slice(0, -1);
  else if (key === "-") input.value = input.value.startsWith("-") ? input.value.slice(1) : "-" + input.value;
  else if (key !== ".") input.value += key;
  else if (!isWhole && !/[.,]/.test(input.value)) input.value += key;
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

// A count that is tapped is typed over, as is a reading that is corrected; one that is being typed is typed on.
function bindPad(pad) {
  const own = document.getElementById(pad.dataset.pad), numbers = [...pad.closest("form").querySelectorAll(NUMBERS)];
  let into = own || numbers[0], isFresh = !own || Boolean(own.form.elements.amend_reason);
  for (const number of numbers) {
    number.dataset.keys ||= number.getAttribute("inputmode");
    if (matchMedia("(pointer: coarse)").matches) number.inputMode = "none";  // the tablet's own keyboard stays away
    number.addEventListener("focus", () => {
      into = number;
      isFresh = number !== own;
      if (isFresh) number.select();
    });
    number.addEventListener("blur", () => { if (own) { into = own; isFresh = false; } });
  }
  pad.addEventListener("pointerdown", (event) => event.preventDefault());  // the number stays in focus
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (!key || !into || (key.dataset.key === "-" && into !== own)) return;
    if (isFresh && key.dataset.key !== "back") into.value = "";
    isFresh = false;
    pressed(into, key.dataset.key);
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
  const lookedUp = form.elements.looked_up || {};
  lookedUp.value = "";
  form.question = null;
  if (!"FC".includes(unit) || !/^-?\d+(\.\d{1,2})?$/.test(typed)) return;
  const means = bandOf(form, `[data-band="${unit}"]`, Number(typed));
  const asks = bandOf(form, `[data-ask="${unit}"][data-scale="${scaleOf(form)}"]`, Number(typed));
  if (means) lookedUp.value = means.dataset.means;
  if (asks && asks.dataset.asks) form.question = { codes: asks.dataset.asks, reading: `${typed}\u00a0°${unit}` };
  for (const band of [means, asks]) if (band) now.append(band.content.cloneNode(true));
  for (const said of now.querySelectorAll("p")) said.lastChild.textContent = said.lastChild.textContent.replaceAll("…", typed);
}

// ---- What else a number means is asked of the server while it is typed; busy until it stands there. ----
function bindMeaning(form) {
  const target = form.querySelector("[data-meaning]"), now = form.querySelector("[data-now]");
  let asked = 0;
  async function ask(mine) {
    form.asking = new AbortController();  // given up once the number is saved: the next pad asks for itself
    const answer = await fetch(form.action || location.href, { method: "POST", body: new FormData(form), headers: { "X-Fragment": "meaning" }, signal: form.asking.signal });
    const text = await answer.text();
    if (mine !== asked || !(answer.ok || answer.status === 422)) return;
    target.innerHTML = text;
    if (form.isSettled !== false) askInSave(form);
    if (now && answer.ok) now.replaceChildren();  // where something else is needed first, the table's word stays
  }
  async function askIn(milliseconds, isWanted = () => form.isConnected && !form.dataset.sent) {
    const mine = ++asked;
    target.ariaBusy = "true";
    await new Promise((resolve) => setTimeout(resolve, milliseconds));
    if (mine === asked && isWanted()) await ask(mine).catch(() => {});
    if (mine === asked) target.ariaBusy = null;
  }
  form.forgetAsked = () => { asked++; if (target) target.ariaBusy = null; };
  // Where no table says what a number means, it is saved once the server has said it: one tap is enough all the same.
  form.askFirst = async () => { if (!now && target.ariaBusy) await askIn(0, () => true); };
  const show = (milliseconds) => { if (now) showBand(form); if (target) askIn(milliseconds); };
  form.addEventListener("input", () => { unsettle(form); show(250); });
  form.addEventListener("change", () => { show(50); if (form.isSettled !== false) settle(form); });
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

// ---- Save is one button at one place. What is unlikely is asked in it: the same tap says yes. ----
function nameSave(form, codes, reading) {
  const save = form.querySelector(".save");
  if (!save) return;
  save.textContent = codes ? save.dataset.yes.replace("…", reading) : save.dataset.save;
  save.name = codes ? "confirmed" : "";
  save.value = codes;
}

// ---- A question waits until the number has settled: 15 on the way to 158 asks nothing. Save does not wait for it. ----
const SETTLED_MS = 1200;

function unsettle(form) {
  form.isSettled = false;
  form.classList.add("typing");
  nameSave(form, "", "");
  clearTimeout(form.settling);
  form.settling = setTimeout(() => settle(form), SETTLED_MS);
}

function settle(form) {
  clearTimeout(form.settling);
  form.isSettled = true;
  form.classList.remove("typing");
  const { codes, reading } = form.question || { codes: "", reading: "" };
  nameSave(form, codes, reading);
  askInSave(form);
}

// Saved before it was asked: the question comes now, and Save says yes to it. The second of two quick taps says nothing.
function isAskedNow(form, submitter) {
  if (form.wasJustAsked) return true;
  if (form.isSettled !== false || (submitter && !submitter.matches(".save"))) return false;
  settle(form);
  form.wasJustAsked = Boolean(form.querySelector(".save[name=confirmed]"));
  if (form.wasJustAsked) setTimeout(() => { form.wasJustAsked = false; }, DOUBLE_TAP_MS);
  return form.wasJustAsked;
}

// The server may ask what no table knows, while a number is typed or when it was to be saved: Save says yes to that, too.
function askInSave(form) {
  const yes = form.querySelector("[data-meaning] button[name=confirmed]");
  if (!yes) return;
  nameSave(form, yes.value, "");
  form.querySelector(".save").textContent = yes.textContent;
}

const TRY_AGAIN_MS = 3000;

function pause(milliseconds) {
  return new Promise((resolve) => setTimeout(resolve, milliseconds));
}

// The answer of the server takes the place of the main part: the next bird, the next spit, or the same with what is wrong.
function exchange(text, url) {
  const page = new DOMParser().parseFromString(text, "text/html");
  if (!page.querySelector("main")) { location.assign(url); return; }
  show(page, url);
  askDueAgain();
  const said = document.querySelector("main .message") || document.querySelector("main");
  said.tabIndex = -1;
  said.focus({ preventScroll: true });
  scrollTo(0, 0);
}

function show(page, url) {
  history.replaceState(null, "", url);
  document.title = page.title;
  showCount();
  for (const part of ["header.masthead", "main"]) document.querySelector(part).replaceWith(page.querySelector(part));
  bind(document.querySelector("main"));
  setTime(Number(page.documentElement.dataset.now), Number(page.documentElement.dataset.behind));
  keepWho();
}

// Sends what is saved; null where the server is gone, or cannot keep anything now.
async function post(url, data) {
  const answer = await fetch(url, { method: "POST", body: data, headers: { "X-Exchange": "main" } }).catch(() => null);
  return answer && answer.status < 500 ? answer : null;
}

// The form stays until the server has answered: what was typed is sent again while the server is gone.
async function saveHere(url, data, saving) {
  for (;;) {
    const answer = await post(url, data);
    if (answer) return exchange(await answer.text(), answer.headers.get("Content-Location") || answer.url);
    saving.textContent = saving.dataset.saving;
    saving.classList.add("failed");
    await pause(TRY_AGAIN_MS);
    if (!saving.isConnected) return;
  }
}

function bindSaving(form) {
  const saving = form.querySelector("[data-saving]");
  nameSave(form, "", "");
  askInSave(form);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (form.dataset.sent || isSecondTap(form)) return;  // a second tap while the first is on its way sends nothing
    if (isAskedNow(form, event.submitter)) return;
    form.dataset.sent = "yes";
    if (form.asking) form.asking.abort();
    if (form.askFirst) await form.askFirst();
    const data = new FormData(form, event.submitter), url = form.action || location.href;
    if (!(await isTurnOf(form, saving))) return;
    if (saveBehind(form, url, data, event.submitter)) return;
    saving.textContent = saving.dataset.saves;  // at once: what was tapped is on its way
    saving.classList.remove("failed");
    saveHere(url, data, saving).finally(() => delete form.dataset.sent);
  });
  form.addEventListener("input", () => { form.dataset.typed = "yes"; });
  if (form.dataset.follow) bindNext(form);
}

// A number that was typed and not saved is not left behind without a question.
window.addEventListener("beforeunload", (event) => {
  const typed = [...document.querySelectorAll("form[data-typed]:has([data-saving])")];
  const isTyped = typed.some((form) => !form.dataset.sent && form.elements.temperature && form.elements.temperature.value);
  if (isTyped || onItsWay) event.preventDefault();
});
