"use strict";
/* The list of a sheet: only the rows in view are in the page, and thumbnails come as they are seen.
   Everything that is shown is set as text, never as markup. */
(() => {
  /* Places in a row as `sheet_rows.py` writes it. */
  const [FILE, PICTURE, GROUP, POSSIBLE, SURE, ANSWER, SURE_WORDS, FINDINGS, REASONS, MACHINE,
    CYLINDER, PLUG, COLOUR, LIGHTNESS, COLOUR_WORDS, ENGINE_VERDICT, PLUG_VERDICT, CAUSE, LIGHT,
    SAME_AS] = Array(20).keys();
  const AT_ONCE = 3, PRINTED = 400, AROUND = 4;

  const at = (id) => document.getElementById(id);
  const list = at("list"), form = at("ask"), shownCount = at("count"), dialog = at("one");
  const folder = document.body.dataset.files, page = document.body.dataset.page;
  const BATCH = Number(document.body.dataset.pictures); /* thumbnails in one file */
  let words = [], rows = [], texts = [], shown = [], active = -1, height = 84;
  let labels = [], states = [], engine = [], engineWords = []; /* codes, as the rows number them */
  const drawn = new Map();

  const make = (tag, name, text) => {
    const element = document.createElement(tag);
    if (name) element.className = name;
    if (text) element.textContent = text;
    return element;
  };
  const load = (name, done) => {
    const script = make("script");
    script.src = folder + name;
    script.onload = script.onerror = () => { script.remove(); done(); };
    document.head.append(script);
  };

  /* Thumbnails: files of many; the last asked for is fetched first, what is out of view not. */
  const pictures = new Map(), wanted = new Map();
  let loading = 0;
  window.sheetPictures = (batch, list) => pictures.set(batch, list);
  const picture = (image, number) => {
    if (number < 0) return;
    const batch = Math.floor(number / BATCH);
    if (pictures.has(batch)) {
      image.src = "data:image/jpeg;base64," + pictures.get(batch)[number % BATCH];
      return;
    }
    const waiting = wanted.get(batch) || [];
    wanted.delete(batch);
    wanted.set(batch, [...waiting.filter((one) => one[0].isConnected), [image, number]]);
    fetchNext();
  };
  const fetchNext = () => {
    while (loading < AT_ONCE && wanted.size) {
      const [batch, waiting] = [...wanted].pop();
      wanted.delete(batch);
      loading += 1;
      load(`pictures-${page}-${batch}.js`, () => {
        loading -= 1;
        if (!pictures.has(batch)) pictures.set(batch, []);
        for (const [image, number] of waiting) if (pictures.get(batch)[number % BATCH])
          picture(image, number);
        fetchNext();
      });
    }
  };

  const whose = (row) => {
    const parts = [words[row[MACHINE]]];
    if (row[CYLINDER]) parts.push(`cylinder ${row[CYLINDER]}`);
    parts.push(words[row[PLUG]]);
    return parts.filter(Boolean).join(" · ");
  };
  const why = (row) => {
    const reasons = row[REASONS].filter((_, i) => i % 3 === 1).map((word) => words[word]);
    if (row[SAME_AS]) reasons.push(row[SAME_AS]);
    return [words[row[FINDINGS]], ...reasons].filter(Boolean).join(" · ");
  };
  const swatch = (row) => {
    const element = make("span", "swatch");
    element.style.background = "#" + row[COLOUR].toString(16).padStart(6, "0");
    return element;
  };
  const thumbnail = (row) => {
    const image = make("img", "thumb");
    image.alt = "";
    image.decoding = "async";
    const frame = make("span", "frame-of-thumb");
    frame.append(image);
    return [frame, () => picture(image, row[PICTURE])];
  };
  const build = (row) => {
    const element = make("div", "row");
    const [frame, fill] = thumbnail(row);
    const said = make("div", "what");
    const line = make("p", "said-line");
    line.append(make("b", "answer", words[row[ANSWER]]), " ",
      make("span", "sure", words[row[SURE_WORDS]]));
    said.append(line, make("p", "why", why(row)));
    const who = make("div", "who");
    const file = make("bdi", "file", row[FILE]);
    who.append(make("b", "", whose(row)), file);
    const colour = make("div", "colour-of-nose");
    if (row[COLOUR] >= 0) colour.append(swatch(row), `L* ${row[LIGHTNESS]}`);
    const verdict = make("div", "engine", engineWords[row[ENGINE_VERDICT]]);
    if (engine[row[ENGINE_VERDICT]] === "do_not_start") verdict.classList.add("stop");
    element.append(frame, said, colour, who, verdict);
    return [element, fill];
  };

  /* Only what is in view. */
  const draw = () => {
    const top = -list.getBoundingClientRect().top;
    const first = Math.max(0, Math.floor(top / height) - AROUND);
    const last = Math.min(shown.length, Math.ceil((top + innerHeight) / height) + AROUND);
    for (const [place, element] of drawn) if (place < first || place >= last) {
      element.remove();
      drawn.delete(place);
    }
    for (let place = first; place < last; place += 1) if (!drawn.has(place)) {
      const [element, fill] = build(rows[shown[place]]);
      element.id = `row-${place}`;
      element.setAttribute("role", "option");
      element.setAttribute("aria-posinset", place + 1);
      element.setAttribute("aria-setsize", shown.length);
      element.style.top = `${place * height}px`;
      element.onclick = () => { choose(place); open(); };
      mark(element, place === active);
      drawn.set(place, element);
      list.append(element);
      fill();
    }
  };
  let asked = false;
  const drawSoon = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => { asked = false; draw(); });
  };
  const mark = (element, is) => element.setAttribute("aria-selected", is);
  const choose = (place) => {
    if (!shown.length) return;
    if (drawn.has(active)) mark(drawn.get(active), false);
    active = Math.min(Math.max(place, 0), shown.length - 1);
    const bar = getComputedStyle(form).position === "sticky" ? form.offsetHeight : 0;
    const top = list.getBoundingClientRect().top + active * height;
    if (top < bar) scrollBy(0, top - bar);
    else if (top + height > innerHeight) scrollBy(0, top + height - innerHeight);
    draw();
    mark(drawn.get(active), true);
    list.setAttribute("aria-activedescendant", `row-${active}`);
  };

  /* One row in full. */
  const open = () => {
    if (active < 0) return;
    const row = rows[shown[active]], facts = at("facts");
    facts.replaceChildren();
    const [frame, fill] = thumbnail(row);
    facts.append(frame);
    at("one-answer").textContent = words[row[ANSWER]];
    const told = [["How sure", words[row[SURE_WORDS]]], ["Plug of", whose(row)],
      ["Findings", words[row[FINDINGS]]]];
    for (let i = 0; i < row[REASONS].length; i += 3)
      told.push([i ? "" : "Why not", row[REASONS].slice(i + 1, i + 3).map((w) => words[w]).join(" ")]);
    told.push(["Plug", words[row[PLUG_VERDICT]]], ["Engine", engineWords[row[ENGINE_VERDICT]]],
      ["First cause", words[row[CAUSE]]],
      ["Colour", row[COLOUR] < 0 ? "" : `${words[row[COLOUR_WORDS]]}, L* ${row[LIGHTNESS]}`],
      ["Light", words[row[LIGHT]]], ["Same as", row[SAME_AS]], ["File", row[FILE]]);
    const table = make("dl");
    for (const [name, text] of told) if (text)
      table.append(make("dt", "", name), make("dd", "", text));
    facts.append(table);
    if (!dialog.open) dialog.showModal();
    fill();
  };
  const step = (by) => { choose(active + by); if (dialog.open) open(); };

  /* What is asked for, and the address that brings it back. */
  const asks = () => Object.fromEntries([...new FormData(form)].filter(([, value]) => value));
  const select = () => {
    const ask = asks();
    const text = (ask.text || "").toLocaleLowerCase().split(/\s+/).filter(Boolean);
    const bit = ask.condition ? 1 << labels.indexOf(ask.condition) : 0;
    const state = states.indexOf(ask.state), verdict = engine.indexOf(ask.engine);
    const least = Number(ask.sure || -1);
    const reason = ask.reason ? words.indexOf(ask.reason) : -1;
    const machine = ask.machine ? words.indexOf(ask.machine.slice(1)) : -1;
    shown = [];
    rows.forEach((row, i) => {
      if (bit && !(row[POSSIBLE] & bit)) return;
      if (ask.state && Math.max(row[GROUP] - labels.length + 1, 0) !== state) return;
      if (ask.engine && row[ENGINE_VERDICT] !== verdict) return;
      if (ask.machine && row[MACHINE] !== machine) return;
      if (row[SURE] < least) return;
      if (ask.reason && !row[REASONS].some((word, k) => k % 3 === 0 && word === reason)) return;
      if (text.length && !text.every((part) => textOf(i).includes(part))) return;
      shown.push(i);
    });
    const key = {
      file: (row) => row[FILE], answer: (row) => row[GROUP], sure: (row) => row[SURE],
      light: (row) => row[LIGHTNESS], machine: (row) => words[row[MACHINE]] + " " + row[CYLINDER],
    }[ask.sort];
    if (key) {
      const keys = new Map(shown.map((i) => [i, key(rows[i])]));
      const order = new Intl.Collator(undefined, { numeric: true }).compare;
      const compare = typeof keys.get(shown[0]) === "string" ? order : (a, b) => a - b;
      shown.sort((a, b) => compare(keys.get(a), keys.get(b)) || a - b);
    }
    if (ask.down) shown.reverse();
    drawn.forEach((element) => element.remove());
    drawn.clear();
    active = -1;
    list.removeAttribute("aria-activedescendant");
    list.style.height = `${Math.max(shown.length, 1) * height}px`;
    const all = rows.length.toLocaleString("en");
    shownCount.textContent = shown.length === rows.length ? `All ${all}`
      : `${shown.length.toLocaleString("en")} of ${all}`;
    at("nothing").hidden = shown.length > 0;
    draw();
  };
  const textOf = (i) => {
    const row = rows[i];
    texts[i] ??= [row[FILE], words[row[ANSWER]], words[row[CAUSE]], whose(row), why(row)].join(" ")
      .toLocaleLowerCase();
    return texts[i];
  };
  const ask = () => {
    const hash = new URLSearchParams(asks()).toString();
    history.replaceState(null, "", "#" + hash);
    select();
  };
  const fromAddress = () => {
    const told = new URLSearchParams(location.hash.slice(1));
    for (const field of form.elements) {
      if (!field.name) continue;
      const value = told.get(field.name) || "";
      if (field.type === "checkbox") field.checked = Boolean(value);
      else field.value = value;
    }
    select();
  };
  const arrive = () => {
    fromAddress();
    if (location.hash.length > 1) at("plugs").scrollIntoView();
  };

  const size = () => {
    const before = height;
    height = matchMedia("(max-width: 640px)").matches ? 138 : 84;
    list.style.setProperty("--row", `${height}px`);
    return height !== before;
  };
  let waiting = 0;
  form.addEventListener("input", (event) => {
    clearTimeout(waiting);
    waiting = setTimeout(ask, event.target.name === "text" ? 120 : 0);
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(ask));
  addEventListener("hashchange", arrive);
  addEventListener("scroll", drawSoon, { passive: true });
  addEventListener("resize", () => (size() ? select() : drawSoon()));
  list.addEventListener("keydown", (event) => {
    const pages = Math.max(1, Math.floor(innerHeight / height) - 2);
    const to = { ArrowDown: active + 1, ArrowUp: active - 1, PageDown: active + pages,
      PageUp: active - pages, Home: 0, End: shown.length - 1 }[event.key];
    if (to !== undefined) choose(to);
    else if (event.key === "Enter" || event.key === " ") open();
    else return;
    event.preventDefault();
  });
  addEventListener("keydown", (event) => {
    if (event.key === "p" && (event.ctrlKey || event.metaKey)) { /* pictures come first */
      at("print").click();
      event.preventDefault();
    }
    if (event.key === "/" && event.target.tagName !== "INPUT" && !dialog.open) {
      at("text").focus();
      event.preventDefault();
    }
  });
  dialog.addEventListener("keydown", (event) => {
    const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    if (by) { step(by); event.preventDefault(); }
  });
  dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });
  at("before").onclick = () => step(-1);
  at("after").onclick = () => step(1);
  at("close").onclick = () => dialog.close();

  /* On paper: the first rows of what is asked for, in full. */
  const toPaper = () => {
    const paper = at("paper");
    paper.replaceChildren();
    for (const i of shown.slice(0, PRINTED)) {
      const [element, fill] = build(rows[i]);
      paper.append(element);
      fill();
    }
    if (shown.length > PRINTED) paper.append(make("p", "soft",
      `The first ${PRINTED} of ${shown.length.toLocaleString("en")}: ask for fewer to print them all.`));
  };
  addEventListener("beforeprint", toPaper);
  addEventListener("afterprint", () => at("paper").replaceChildren());
  at("print").onclick = () => {
    const batches = new Set(shown.slice(0, PRINTED).map((i) => rows[i][PICTURE])
      .filter((n) => n >= 0).map((n) => Math.floor(n / BATCH)).filter((b) => !pictures.has(b)));
    let left = batches.size;
    const done = () => { left -= 1; if (left <= 0) print(); };
    if (!left) print();
    for (const batch of batches) load(`pictures-${page}-${batch}.js`, done);
  };

  window.sheetRows = (told) => {
    ({ labels, states, words, rows } = told);
    [engine, engineWords] = told.engine;
    const machines = new Map();
    for (const row of rows) machines.set(row[MACHINE], (machines.get(row[MACHINE]) || 0) + 1);
    const order = new Intl.Collator(undefined, { numeric: true }).compare;
    for (const [machine, count] of [...machines].sort((a, b) => order(words[a[0]], words[b[0]])))
      form.elements.machine.add(
        new Option(`${words[machine] || "not known"} (${count})`, "=" + words[machine]));
    size();
    document.body.classList.add("alive");
    arrive();
  };
  load(`rows-${page}.js`, () => { at("missing").hidden = labels.length > 0; });
})();
