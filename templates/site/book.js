/* What the site does with script. Everything on a page is there without it: this file only hides and orders rows, lights
   up what belongs together, and reads out curves, with words and numbers that stand in the page. It asks for nothing,
   keeps nothing, and makes every control itself, so that none stands dead where scripts do not run. */
"use strict";

(() => {
  const FEWEST = 5; // rows; a shorter table is seen at a glance
  const BLANK = 3; // the kind of a cell without words
  const leaf = document.querySelector(".leaf");
  const listed = (name) => (leaf?.dataset[name] ?? "").split(",");
  const WORST_FIRST = listed("worstFirst");
  const EXCEPTIONAL = new Set(listed("exceptional"));
  const natural = new Intl.Collator("en", { numeric: true });

  /** An element with attributes and children; a child may be text. */
  function made(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    element.append(...children);
    return element;
  }

  let labels = 0;

  /** A control with its name before it. */
  function labelled(name, control, kind = "") {
    control.id = `tool-${(labels += 1)}`;
    return made("span", { class: kind }, made("label", { for: control.id }, name), " ", control);
  }

  /** Text as it is searched and sorted: no accents, plain spaces and signs, one case. */
  function plain(text) {
    return text.normalize("NFKD").replace(/\p{M}/gu, "").replace(/−/g, "-").replace(/\s+/g, " ").trim().toLowerCase();
  }

  /* --- tables: filter and order ------------------------------------------------------------------------------------ */

  const shownWhole = new Map(); // table -> shows every row again

  /** Rows that belong together: a row, and those under it that explain it or stand beside it. */
  function groupsOf(table) {
    const groups = [];
    for (const row of table.tBodies[0].rows) {
      if (groups.length && row.matches(".more, .reference")) groups.at(-1).rows.push(row);
      else groups.push({ rows: [row], place: groups.length });
    }
    return groups;
  }

  function verdictsOf(rows) {
    return rows.flatMap((row) => [...row.querySelectorAll(".verdict")].map(verdictOf));
  }

  function verdictOf(element) {
    return [...element.classList].find((name) => name.startsWith("is-")).slice(3).replace(/-/g, " ");
  }

  /** Whether a filter may not hide it without saying so: the verdict of the row itself, not of a reference beside it. */
  function isException(group) {
    return group.rows[0].matches(".unread") || verdictsOf(group.rows.slice(0, 1)).some((one) => EXCEPTIONAL.has(one));
  }

  function equip(table) {
    const groups = groupsOf(table);
    if (groups.length < FEWEST) return;
    const region = table.closest(".scroll");
    const words = made("input", { type: "search", autocomplete: "off", spellcheck: "false" });
    const verdict = verdictChoice(groups);
    const said = made("p", { role: "status", class: "said" }, `${groups.length} rows`);
    const all = made("button", { type: "button", hidden: "" }, "Show all rows");
    const tools = made("div", { class: "tools", role: "group", "aria-label": `Find rows: ${region.getAttribute("aria-label")}` });
    tools.append(labelled("Words in a row", words));
    if (verdict) tools.append(labelled("Verdict", verdict));
    if (table.tHead) tools.append(labelled("Order", orderOf(table, groups), "order"));
    tools.append(all, said);
    region.before(tools);

    const what = verdict ? ["exception or gap", "exceptions or gaps"] : ["row that was not used", "rows that were not used"];
    function filter() {
      const wanted = plain(words.value).split(" ");
      let shown = 0;
      let lost = 0;
      for (const group of groups) {
        const fits = accepted(group, verdict?.value) && wanted.every((word) => textOf(group).includes(word));
        for (const row of group.rows) row.hidden = !fits;
        if (fits) shown += 1;
        else if (isException(group)) lost += 1;
      }
      const hidden = lost ? `${lost} ${what[lost === 1 ? 0 : 1]} ${lost === 1 ? "is" : "are"} hidden` : "";
      all.hidden = !words.value && !verdict?.value;
      said.textContent = all.hidden ? `${groups.length} rows` : `${shown} of ${groups.length} rows shown`;
      if (hidden) said.append(". ", made("strong", {}, hidden), ".");
    }
    shownWhole.set(table, () => {
      words.value = "";
      if (verdict) verdict.value = "";
      filter();
    });
    words.addEventListener("input", filter);
    verdict?.addEventListener("change", filter);
    all.addEventListener("click", () => {
      shownWhole.get(table)();
      words.focus();
    });
  }

  function textOf(group) {
    group.text ??= plain(group.rows.map((row) => row.textContent).join(" "));
    return group.text;
  }

  const NOT_CLEAR = "not a plain pass";

  function accepted(group, verdict) {
    if (!verdict) return true;
    const found = verdictsOf(group.rows);
    return verdict === NOT_CLEAR ? found.some((one) => EXCEPTIONAL.has(one)) : found.includes(verdict);
  }

  /** A list of the verdicts that stand in a table, worst first, each with its number; none where there are no verdicts. */
  function verdictChoice(groups) {
    const counted = (verdict) => groups.filter((group) => accepted(group, verdict)).length;
    const found = WORST_FIRST.filter(counted);
    if (!found.length) return null;
    if (found.some((one) => EXCEPTIONAL.has(one))) found.unshift(NOT_CLEAR);
    const options = found.map((one) => made("option", { value: one }, `${one} (${counted(one)})`));
    return made("select", {}, made("option", { value: "" }, "all"), ...options);
  }

  /* What a cell is sorted by: a verdict, a date, a number, or words. */
  const DATE = /^\d{4}-\d\d-\d\d/;
  const NUMBER = /^(?:at least|at most|more than|less than|exactly|[<>≤≥~])? ?([-+]?\d+(?: \d{3})*(?:[.,]\d+)*)(?![\w/:-])/;

  /** The cell of a row in one column; a cell may span several. */
  function cellAt(row, column) {
    let end = 0;
    return [...row.cells].find((cell) => (end += cell.colSpan) > column);
  }

  /** The words of a cell without those of its picture and without the letters of its notes. */
  function wordsIn(cell) {
    const copy = cell.cloneNode(true);
    for (const element of copy.querySelectorAll("svg, a.mark")) element.remove();
    return plain(copy.textContent);
  }

  /** A number as somebody wrote it; `comma` where the column writes its decimals after a comma. */
  function numberIn(text, comma) {
    const digits = text.replace(/ /g, "");
    return Number(comma ? digits.replace(/\./g, "").replace(",", ".") : digits.replace(/,/g, ""));
  }

  /** The keys of a column: [kind, words, number]. Numbers stand by their units; words come after numbers. */
  function keysOf(groups, column) {
    const cells = groups.map((group) => cellAt(group.rows[0], column));
    const texts = cells.map((cell) => (cell ? wordsIn(cell) : ""));
    const numbers = texts.map((text) => (DATE.test(text) ? null : text.match(NUMBER)));
    const coded = texts.filter((text, n) => /^\d/.test(text) && !DATE.test(text) && !numbers[n]).length;
    const counted = numbers.filter(Boolean).length > coded; // else these are names such as 12A
    const comma = numbers.some((found) => found && /^[^.,]*,(?:\d{1,2}|\d{4,})$/.test(found[1]));
    return texts.map((text, n) => {
      const verdict = cells[n]?.querySelector(".verdict");
      if (verdict) return [0, "", WORST_FIRST.indexOf(verdictOf(verdict))];
      if (!text) return [BLANK, "", 0];
      if (DATE.test(text)) return [0, text, 0];
      if (numbers[n] && counted) return [1, text.replace(/\(.*$/, "").split(/\d/).at(-1).trim(), numberIn(numbers[n][1], comma)];
      return [2, text, 0];
    });
  }

  function compared(one, other) {
    return one[0] - other[0] || natural.compare(one[1], other[1]) || one[2] - other[2];
  }

  /** Buttons in the heads of a table, and the same as a list for small screens, where the heads are not seen. */
  function orderOf(table, groups) {
    const body = table.tBodies[0];
    const heads = [...table.tHead.rows[0].cells];
    const choice = made("select", {}, made("option", { value: "" }, "as in the book"));
    const buttons = [];

    function order(column, falling) {
      const keys = column === null ? [] : keysOf(groups, column);
      const rank = (one, other) => {
        if (column === null) return one.place - other.place;
        const [a, b] = [keys[one.place], keys[other.place]];
        const blankLast = (a[0] === BLANK) - (b[0] === BLANK);
        return blankLast || (falling ? compared(b, a) : compared(a, b)) || one.place - other.place;
      };
      body.append(...[...groups].sort(rank).flatMap((group) => group.rows));
      for (const head of heads) head.removeAttribute("aria-sort");
      if (column !== null) heads[column].setAttribute("aria-sort", falling ? "descending" : "ascending");
      choice.value = column === null ? "" : `${column} ${falling ? "falling" : "rising"}`;
    }

    heads.forEach((head, column) => {
      const name = head.textContent.trim();
      const cells = groups.map((group) => cellAt(group.rows[0], column)).filter((cell) => cell?.colSpan === 1);
      if (!name || !cells.some(wordsIn)) return;
      const verdict = cells.some((cell) => cell.querySelector(".verdict"));
      const ways = verdict ? ["worst first", "worst last"] : ["rising", "falling"];
      choice.append(made("option", { value: `${column} rising` }, `${name}, ${ways[0]}`));
      choice.append(made("option", { value: `${column} falling` }, `${name}, ${ways[1]}`));
      const button = made("button", { type: "button", class: "by" }, ...head.childNodes);
      button.addEventListener("click", () => {
        const next = { ascending: [column, true], descending: [null, false] };
        order(...(next[head.getAttribute("aria-sort")] ?? [column, false]));
      });
      head.append(button);
      buttons.push(button);
    });
    choice.addEventListener("change", () => {
      const [column, way] = choice.value.split(" ");
      order(column ? Number(column) : null, way === "falling");
    });
    const reachable = () => {
      const unseen = getComputedStyle(table.tHead).position === "absolute";
      for (const button of buttons) button.disabled = unseen;
    };
    matchMedia("(max-width: 43.99rem)").addEventListener("change", reachable);
    reachable();
    return choice;
  }

  /* --- marks on the drawings of her, and the rows that they stand for ---------------------------------------------- */

  function joinMarks() {
    const partners = new Map(); // element -> all that lights up with it
    const join = (one, other) => {
      const both = new Set([...(partners.get(one) ?? [one]), ...(partners.get(other) ?? [other])]);
      for (const element of both) partners.set(element, both);
    };
    for (const mark of document.querySelectorAll('svg a.mark[href^="#"]')) {
      const row = document.getElementById(mark.getAttribute("href").slice(1));
      if (row) join(mark, row);
      for (const back of document.querySelectorAll(`tr a[href="#${CSS.escape(mark.id)}"]`)) join(mark, back.closest("tr"));
    }
    if (!partners.size) return;
    let lit = new Set();
    let kept = new Set();
    function light(found) {
      for (const element of lit) element.classList.remove("lit");
      lit = found ?? kept;
      for (const element of lit) element.classList.add("lit");
    }
    const setAt = (target) => {
      for (let element = target; element; element = element.parentElement) {
        if (partners.has(element)) return partners.get(element);
      }
      return null;
    };
    for (const event of ["pointerover", "focusin"]) document.addEventListener(event, (e) => light(setAt(e.target)));
    for (const event of ["pointerleave", "focusout"]) document.documentElement.addEventListener(event, () => light(null));
    document.addEventListener("click", (e) => {
      kept = setAt(e.target) ?? new Set();
      light(null);
    });
    document.addEventListener("keydown", (e) => {
      if (e.key !== "Escape") return;
      kept = new Set();
      light(null);
    });
  }

  /* --- curves: what a chart says at a place ------------------------------------------------------------------------ */

  const SVG = "http://www.w3.org/2000/svg";

  function drawn(tag, attributes) {
    const element = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    return element;
  }

  function readOut(figure) {
    const svg = figure.querySelector("svg");
    const [ends, ...lines] = figure.dataset.curve.split("\n");
    const [top, foot] = ends.split(" ").map(Number);
    const stops = lines.map((line) => {
      const [place, ...words] = line.split("|");
      const [x, ...ys] = place.split(" ").map(Number);
      return { x, ys, words: words.join("|") };
    });
    const highest = stops.reduce((best, stop, n) => (Math.min(...stop.ys) < Math.min(...stops[best].ys) ? n : best), 0);
    const range = made("input", { type: "range", min: 0, max: stops.length - 1, step: 1, value: highest });
    const said = made("output", { "aria-live": "off" });
    const tool = made("div", { class: "reading-out" }, labelled("Read the curve at", range), said);
    figure.querySelector("figcaption").before(tool, "\n");
    const needle = svg.appendChild(drawn("g", { class: "needle", "aria-hidden": "true" }));

    function show() {
      const stop = stops[range.valueAsNumber];
      said.textContent = stop.words;
      range.setAttribute("aria-valuetext", stop.words);
      const dots = stop.ys.map((y) => drawn("circle", { cx: stop.x, cy: y, r: 3.2 }));
      needle.replaceChildren(drawn("path", { d: `M${stop.x} ${top}V${foot}` }), ...dots);
    }
    /** Bring the needle into view where the chart is wider than the screen. */
    function follow() {
      const frame = figure.querySelector(".scroll");
      const at = needle.firstChild.getBoundingClientRect().left - frame.getBoundingClientRect().left;
      if (at < 0 || at > frame.clientWidth) frame.scrollLeft += at - frame.clientWidth / 2;
    }
    function point(event) {
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse()).x;
      const away = (stop) => Math.abs(stop.x - at);
      range.value = stops.reduce((best, stop, n) => (away(stop) < away(stops[best]) ? n : best), 0);
      show();
    }
    range.addEventListener("input", () => {
      show();
      follow();
    });
    svg.addEventListener("pointermove", point);
    svg.addEventListener("pointerdown", point);
    svg.addEventListener("click", () => range.focus({ preventScroll: true }));
    show();
  }

  /* --- addresses: what a link leads to is not left folded away or hidden by a filter ------------------------------- */

  function uncover() {
    let id;
    try {
      id = decodeURIComponent(location.hash.slice(1));
    } catch {
      return;
    }
    const target = id && document.getElementById(id);
    if (!target) return;
    let covered = target.closest("tr")?.hidden;
    if (covered) shownWhole.get(target.closest("table"))?.();
    for (let element = target.parentElement; element; element = element.parentElement) {
      if (element.tagName !== "DETAILS" || element.open) continue;
      element.open = covered = true;
    }
    if (covered) target.scrollIntoView();
  }

  for (const table of document.querySelectorAll(".scroll > table")) {
    if (table.matches(".findings, .raw, .list:not(.limits)")) equip(table);
  }
  for (const figure of document.querySelectorAll("figure[data-curve]")) readOut(figure);
  joinMarks();
  addEventListener("hashchange", uncover);
  if (location.hash) uncover();
})();
