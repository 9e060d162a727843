// Package caution words what can hurt someone, in plain words and with the authority to
// ask. It warns on estimates and never says that something is safe or complies with a
// rule: that is for an accredited laboratory and the law of the place.
package caution
