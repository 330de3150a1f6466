// The comparison: pairs of photographs under their slider.
import './slide.js';
