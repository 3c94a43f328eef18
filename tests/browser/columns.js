// Formulas that stand out of a box around them, as sentences. Half a pixel is allowed for rounding.
(() => {
  const faults = [];
  const page = document.documentElement;
  document.querySelectorAll('details').forEach(part => { part.open = true });
  if (page.scrollWidth > innerWidth) faults.push(`the page is ${page.scrollWidth} px wide in ${innerWidth} px`);
  for (const math of document.querySelectorAll('math')) {
    const own = math.getBoundingClientRect();
    if (!math.checkVisibility() || own.width === 0) continue;
    // A box may grow with what it holds, so every box around the formula counts, not only the nearest.
    for (let box = math.parentElement; box; box = box.parentElement) {
      if (box instanceof MathMLElement || /^(inline|contents)/.test(getComputedStyle(box).display)) continue;
      const column = box.getBoundingClientRect();
      if (own.right > column.right + 0.5 || own.left < column.left - 0.5) {
        const line = math.closest('[id]')?.id;
        faults.push(`${math.getAttribute('alttext')} in ${line}, ${own.left.toFixed(1)} to ${own.right.toFixed(1)} px, ` +
          `leaves ${box.localName}.${box.className}, ${column.left.toFixed(1)} to ${column.right.toFixed(1)} px`);
        break;
      }
    }
  }
  return faults;
})()
