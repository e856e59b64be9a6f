"use strict";
// On a phone a long page shows its headings first: what stands under one is opened by a tap. Everything is there without
// the script, on a wide screen and on paper (review.css hides what is folded on a narrow screen only).

function setFolded(section, folded) {
  section.classList.toggle("folded", folded);
  section.querySelector(".folds").ariaExpanded = String(!folded);
}

// Wrong or typed rows of a form, and the section that an address names or names something in, stay open.
function isWanted(section) {
  const named = location.hash && document.getElementById(location.hash.slice(1));
  if (named && section.contains(named)) return true;
  return [...section.querySelectorAll("input[type=text], input[type=time], select")].some((one) => one.value) || Boolean(section.querySelector(".wrong"));
}

function bindFold(section) {
  const heading = section.querySelector("h2"), button = document.createElement("button");
  button.type = "button";
  button.className = "folds";
  button.append(...heading.childNodes);
  heading.append(button);
  button.addEventListener("click", () => setFolded(section, !section.classList.contains("folded")));
  setFolded(section, !isWanted(section));
}

function bindOpenAll(button, sections) {
  button.hidden = false;
  button.addEventListener("click", () => { sections.forEach((section) => setFolded(section, false)); button.hidden = true; });
}

// What an address names has moved up with the sections that were folded before it.
function showNamed() {
  document.getElementById(location.hash.slice(1))?.scrollIntoView();
}

function foldAll() {
  const sections = [...document.querySelectorAll("[data-fold]")];
  sections.forEach(bindFold);
  showNamed();
  document.querySelectorAll("[data-open-all]").forEach((button) => bindOpenAll(button, sections));
}

// A tablet that is turned may become narrow later.
const narrow = matchMedia("(max-width: 37.49em)");
document.addEventListener("DOMContentLoaded", () => {
  if (narrow.matches) foldAll();
  else narrow.addEventListener("change", foldAll, { once: true });
});
window.addEventListener("hashchange", () => {
  const section = document.getElementById(location.hash.slice(1))?.closest("[data-fold]:has(.folds)");
  if (section) { setFolded(section, false); showNamed(); }
});
