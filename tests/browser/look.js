/*
 * Look at the screen as a page's own script could: what is cut, how large the keys are,
 * how strong the contrast is, which letters nobody translated, what has no name.
 */
(() => {
  const SLACK = 1.5;
  const MM = 160 / 25.4;
  const UNITS = /\b(kPa|mmHg|kgf\/cm²|bar|inHg|min|cm|mm|mL|IU|mg|g|ml|iu|h|m|s|SHA-256|SBAR)\b/g;
  const FREE = ".release, .record-foot, [lang], [data-free], option";

  const seen = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const name = (element) => `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""} "${element.textContent.trim().slice(0, 30)}"`;

  function texts() {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found = [];
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (node.data.trim() !== "" && !node.parentElement.closest("noscript, script, style") && seen(node.parentElement)) found.push(node);
    }
    return found;
  }

  /** Said to a screen reader alone: kept in a box of one pixel. */
  function isAside(element) {
    for (let at = element; at; at = at.parentElement) if (getComputedStyle(at).clipPath.startsWith("inset(50%")) return true;
    return false;
  }

  function boxOf(node) {
    const range = document.createRange();
    range.selectNodeContents(node);
    return range.getBoundingClientRect();
  }

  /** The box that a text must stay in: its key, its advice, whatever clips it, and the screen's width. */
  function cut(node) {
    const box = boxOf(node);
    if (node.parentElement.closest(".course, .wide") || box.width === 0 || isAside(node.parentElement)) return [];
    const faults = [];
    const beyond = (edge, why) => {
      if (box.left < edge.left - SLACK || box.right > edge.right + SLACK) faults.push(`${why} cuts sideways ${name(node.parentElement)}`);
      if (box.top < edge.top - SLACK - leading(node) || box.bottom > edge.bottom + SLACK + leading(node)) faults.push(`${why} cuts above or below ${name(node.parentElement)}`);
    };
    if (box.left < -SLACK || box.right > innerWidth + SLACK) faults.push(`the screen cuts ${name(node.parentElement)}`);
    let isLifted = false;
    for (let at = node.parentElement; at && at !== document.body; at = at.parentElement) {
      const style = getComputedStyle(at);
      if (at instanceof SVGElement && at.tagName !== "svg") continue;
      // What is placed absolutely is clipped by the box it is placed in, and by none between.
      if (isLifted && style.position === "static") continue;
      isLifted = style.position === "absolute";
      const clips = [style.overflowX, style.overflowY].some((way) => way === "hidden" || way === "clip");
      if (clips || at.matches(".key, .advice")) beyond(at.getBoundingClientRect(), at.getAttribute("class") || at.tagName);
    }
    return faults;
  }

  /** A line box may be taller or lower than its letters. */
  function leading(node) {
    // A drawing is as large as it is drawn, whatever the units of its letters.
    const scale = node.parentElement instanceof SVGElement ? node.parentElement.getScreenCTM().a : 1;
    return parseFloat(getComputedStyle(node.parentElement).fontSize) * 0.25 * scale;
  }

  /** Where two texts lie on each other, or a text lies under a key that is not its own. */
  function overlaps() {
    const drawn = texts().filter((node) => !(node.parentElement instanceof SVGElement) && !isAside(node.parentElement)).flatMap((node) => {
      const range = document.createRange();
      range.selectNodeContents(node);
      // The box of a line is taller than its letters.
      return [...range.getClientRects()].filter((box) => box.width > 1).map((box) => ({ node, box: inner(box) }));
    });
    const faults = new Set(), pressed = [...document.querySelectorAll(".key")].filter(seen).map((key) => ({ key, edge: key.getBoundingClientRect() }));
    drawn.forEach(({ node, box }, index) => {
      for (const other of drawn.slice(index + 1)) if (meet(box, other.box)) faults.add(`${name(node.parentElement)} lies on ${name(other.node.parentElement)}`);
      for (const { key, edge } of pressed) if (!key.contains(node) && meet(box, edge)) faults.add(`${name(node.parentElement)} lies under ${name(key)}`);
    });
    return [...faults];
  }

  function inner({ left, right, top, bottom }) {
    const rim = (bottom - top) * 0.3;
    return { left: left + 1, right: right - 1, top: top + rim, bottom: bottom - rim };
  }

  function meet(one, other) {
    return one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
  }

  function keys() {
    return [...document.querySelectorAll("button")].filter((button) => seen(button) && !button.disabled).map((button) => {
      const { width, height } = button.getBoundingClientRect();
      return { key: button.dataset.key ?? "", tag: button.className, width: width / MM, height: height / MM };
    });
  }

  /** Height of the digits of a number as drawn, in mm. */
  function digits() {
    const pen = document.createElement("canvas").getContext("2d");
    return [...document.querySelectorAll(".number")].map((number) => {
      const { fontWeight, fontSize, fontFamily } = getComputedStyle(number);
      pen.font = `${fontWeight} ${fontSize} ${fontFamily}`;
      return pen.measureText("0").actualBoundingBoxAscent / MM;
    });
  }

  function colour(text) {
    const [r, g, b, a = 1] = text.match(/[\d.]+/g).map(Number);
    return { rgb: [r, g, b], a };
  }

  function ground(element) {
    for (let at = element; at; at = at.parentElement) {
      const { rgb, a } = colour(getComputedStyle(at).backgroundColor);
      if (a === 1) return rgb;
    }
    return [255, 255, 255];
  }

  function luminance(rgb) {
    const [r, g, b] = rgb.map((part) => part / 255).map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  }

  /** Contrast of each text with its ground, after WCAG 2.2. */
  function contrasts() {
    return texts().filter((node) => !(node.parentElement instanceof SVGElement) && !node.parentElement.closest(":disabled")).map((node) => {
      const one = luminance(colour(getComputedStyle(node.parentElement).color).rgb);
      const other = luminance(ground(node.parentElement));
      return { what: name(node.parentElement), ratio: (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05) };
    });
  }

  function untranslated() {
    const said = texts().filter((node) => !node.parentElement.closest(FREE)).map((node) => node.data);
    const labels = [...document.querySelectorAll("[aria-label]")].filter(seen).map((element) => element.getAttribute("aria-label"));
    return [...said, ...labels].filter((text) => /[A-Za-z]/.test(text.replaceAll(UNITS, "")));
  }

  function unnamed() {
    const faults = [...document.querySelectorAll("button, input, select, textarea, [role=img]")].filter(seen)
      .filter((element) => !(element.getAttribute("aria-label") ?? "").trim() && !element.textContent.trim() && !element.labels?.length)
      .map((element) => `no name: ${name(element)}`);
    const drawings = [...document.querySelectorAll("svg")].filter((drawing) => drawing.getAttribute("aria-hidden") !== "true" && !drawing.getAttribute("aria-label"));
    const headings = [...document.querySelectorAll("h1")].filter(seen).length;
    return [...faults, ...drawings.map((drawing) => `a drawing neither named nor hidden: ${name(drawing)}`),
      ...(headings === 1 ? [] : [`${headings} headings of the first rank`])];
  }

  /** Draw the letters as large as asked; 1 is as large as usual. */
  function draw(times) {
    const { documentElement: root } = document;
    root.style.setProperty("--letters", String(times));
    if (times > 1) root.dataset.letters = "large";
    else delete root.dataset.letters;
    dispatchEvent(new Event("resize"));
  }

  /** Every text of the page, seen or not, with the size of its letters in px. */
  function letters() {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found = [];
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const { parentElement: at } = node;
      if (node.data.trim() !== "") found.push({ at, isSeen: seen(at) && !isAside(at), px: parseFloat(getComputedStyle(at).fontSize) });
    }
    return found;
  }

  /** Compare the usual letters with those `times` as large: which texts are gone, and how much each has grown. */
  window.lookGrown = (times) => {
    draw(1);
    const usual = letters();
    draw(times);
    const large = letters();
    const pairs = usual.map((one, index) => ({ one, other: large[index] })).filter(({ one }) => one.isSeen);
    return {
      // Where a table has no room for its heads, each cell names its own; a number that stands for words goes where those have room.
      lost: pairs.filter(({ one, other }) => !other.isSeen && !one.at.closest("thead, .also")).map(({ one }) => name(one.at)),
      grown: pairs.filter(({ one, other }) => other.isSeen && !(one.at instanceof SVGElement))
        .map(({ one, other }) => ({ what: name(one.at), isFar: one.at.closest(".number, .pull .line, .start-word") !== null, times: other.px / one.px })),
    };
  };

  /** Keys that stand above the one that comes before them. */
  window.lookOrder = () => {
    const drawn = [...document.querySelectorAll("main .key")].filter(seen).map((key) => ({ key, box: key.getBoundingClientRect() }));
    return drawn.slice(1).filter(({ box }, index) => box.bottom <= drawn[index].box.top).map(({ key }) => `${name(key)} stands above the one before it`);
  };

  /** Keys that lie on one another; two may lie as close as their edges, and no closer. */
  function crowded() {
    const drawn = [...document.querySelectorAll("button")].filter((one) => one.checkVisibility({ visibilityProperty: true }))
      .map((one) => ({ at: one.dataset.key ?? one.textContent.trim(), box: one.getBoundingClientRect() }));
    return drawn.flatMap(({ at, box }, index) => drawn.slice(index + 1).filter((other) =>
      Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left) > 1
      && Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top) > 1)
      .map((other) => `${at} lies on ${other.at}`));
  }

  window.look = () => ({
    cut: texts().flatMap(cut), over: overlaps(),
    wide: document.scrollingElement.scrollWidth > innerWidth + SLACK,
    tall: document.scrollingElement.scrollHeight > innerHeight + SLACK
      || [...document.querySelectorAll("main")].some((main) => main.scrollHeight > main.clientHeight + SLACK),
    keys: keys(), digits: digits(), crowded: crowded(),
  });
  window.lookCloser = () => ({ contrasts: contrasts(), untranslated: untranslated(), unnamed: unnamed(),
    lang: document.documentElement.lang, dir: document.documentElement.dir });
})();
