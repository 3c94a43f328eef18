// What of as-installed records a screen does not show, as sentences. Half a pixel is allowed for rounding.
(() => {
  const faults = [];
  for (const report of document.querySelectorAll('.as-installed')) {
    const column = report.getBoundingClientRect();
    for (const part of report.querySelectorAll('table, tr, th, td, figure, p')) {
      const own = part.getBoundingClientRect();
      if (!part.checkVisibility() || own.width === 0) continue;
      const words = `${part.localName} ${part.textContent.slice(0, 30)}`;
      if (own.right > column.right + 0.5 || own.left < column.left - 0.5) faults.push(`${words} stands out`);
      if (part.scrollWidth > part.clientWidth + 1) faults.push(`${words} scrolls sideways`);
    }
    // Each cell has the name of its column above it or before it, and not both.
    for (const cell of report.querySelectorAll('td')) {
      const head = cell.closest('table').querySelectorAll('th')[cell.cellIndex];
      const before = getComputedStyle(cell, '::before').content;
      if (cell.textContent === '' || !head) continue;
      if (head.checkVisibility() === (before !== 'none')) faults.push(`${head.textContent} is named twice or not at all`);
      if (before !== 'none' && !before.includes(head.textContent)) faults.push(`${before} is not ${head.textContent}`);
    }
  }
  return faults;
})()
