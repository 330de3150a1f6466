// Two photographs laid over each other: a slider goes from the one to the other.
for (const laid of document.querySelectorAll('.laid')) {
  const slider = laid.querySelector('.slider');
  const range = slider.querySelector('input');
  const show = () => laid.style.setProperty('--from', `${range.value}%`);
  laid.classList.add('sliding');
  slider.hidden = false;
  range.addEventListener('input', show);
  show();
}
