// Package picture draws parts: an orthographic view of triangle meshes with a
// depth buffer, edges drawn in, and a cut whose faces are filled and hatched.
//
// A picture is an image with a transparent ground. Same input, same pixels. The
// filling of a cut counts how often a line of sight enters and leaves a part, so
// it is right for meshes that bound a solid; for a broken mesh it may show stripes.
package picture
