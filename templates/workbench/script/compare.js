// The comparison: pictures at one scale, pairs of photographs under their slider.
import './slide.js';

for (const figure of document.querySelectorAll('.facing[data-wide]')) figure.style.setProperty('--wide', figure.dataset.wide);
for (const row of document.querySelectorAll('.row-of[data-columns]')) row.style.gridTemplateColumns = row.dataset.columns;
