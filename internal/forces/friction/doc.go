// Package friction keeps coefficients of static friction between materials, as
// intervals with their sources. It never gives a single value.
package friction
