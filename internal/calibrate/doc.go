// Package calibrate finds a printer's growth from the readings of gauges.
//
// Readings are sizes measured with an instrument of known uncertainty, and fits
// judged by feel (stuck, tight, slides, loose), which are censored data: they tell
// only between which limits the gap lies. FitReadings is Bayesian: the prior is a model of
// package printed, by default that of an unknown printer; the answer is never
// less certain than the prior and falls back to it where the readings foretell
// each other worse than the prior does. Every reading has a small chance of being
// a slip, and those that look like one are named.
//
// Line and OneWay are the plain straight line and the one-way analysis of
// variance, with intervals.
package calibrate
