// Package screw gives the torque that turns a loaded helix and tells whether it
// holds by itself.
package screw
