// Package seat measures, on the mesh of a part, the pocket in which a magnet sits: how wide
// it is, how deep, where it is open. It looks from the magnet's place along and across its
// axis until it meets a wall, and believes no words of the design about the pocket.
package seat
