"use strict";
const tools = document.getElementById("tools"), words = tools.elements.words, shown = tools.elements.shown;
const choices = [...tools.querySelectorAll("select")], articles = [...document.querySelectorAll("article")];
const holders = [...document.querySelectorAll("section[data-holds]")].reverse();
let texts = null;

function chosen() {
  const wanted = words.value.toLowerCase().split(/\s+/).filter(Boolean);
  const filters = choices.filter(choice => choice.value).map(choice => [choice.name, choice.value]);
  return [wanted, filters];
}

function fits(article, number, wanted, filters) {
  return filters.every(([name, value]) => (article.dataset[name] || "").split(" ").includes(value))
    && wanted.every(word => texts[number].includes(word));
}

function sift() {
  const [wanted, filters] = chosen();
  if (wanted.length && !texts) texts = articles.map(a => (a.id + " " + a.firstElementChild.textContent).toLowerCase());
  let count = 0;
  articles.forEach((article, number) => {
    article.hidden = !fits(article, number, wanted, filters);
    count += article.hidden ? 0 : 1;
  });
  const some = wanted.length + filters.length > 0;
  for (const holder of holders) holder.hidden = some && !holder.querySelector("article:not([hidden])");
  for (const whole of document.querySelectorAll("section[data-whole]")) whole.hidden = some;
  shown.value = some ? count + " of " + articles.length + " shown" : articles.length + " sections";
}

function resift() {
  sift();
  const top = document.querySelector("main");
  if (top.getBoundingClientRect().top < 0) top.scrollIntoView();
}

function uncover() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!target) return;
  if (target.closest("[hidden]")) { tools.reset(); sift(); }
  // Sections out of sight have no height of their own yet: the place is right once those around it are laid out.
  for (const wait of [0, 60, 180]) setTimeout(() => target.scrollIntoView(), wait);
}

let waiting = 0;
words.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(resift, 150); });
tools.addEventListener("change", resift);
tools.addEventListener("reset", () => setTimeout(sift));
tools.addEventListener("submit", event => { event.preventDefault(); resift(); });
window.addEventListener("hashchange", uncover);
for (const [name, value] of new URLSearchParams(location.search)) if (tools.elements[name]) tools.elements[name].value = value;
tools.hidden = false;
sift();
uncover();
