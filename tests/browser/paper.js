// The width and height in CSS pixels of the area for text on paper of a width and height in millimetres.
(paper => {
  const rules = [...document.styleSheets].flatMap(sheet => [...sheet.cssRules]);
  const { style } = rules.find(rule => rule instanceof CSSPageRule && rule.selectorText === '');
  // A page that asks for a paper is set for that one, and scaled to fit another.
  const [width, height] = /a4/i.test(style.getPropertyValue('size')) ? [210, 297] : paper;
  const probe = document.createElement('div');
  const measure = (length, from, to) => {
    probe.style.cssText = `position: absolute; width: calc(${length}mm - ${style[from]} - ${style[to]})`;
    return Math.floor(probe.getBoundingClientRect().width);
  };
  document.body.append(probe);
  const area = [measure(width, 'marginLeft', 'marginRight'), measure(height, 'marginTop', 'marginBottom')];
  probe.remove();
  return area;
})
