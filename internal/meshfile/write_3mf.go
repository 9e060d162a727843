package meshfile

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/xml"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"strconv"
	"strings"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// Meta is the metadata that the 3MF core specification names (section 4.1.2.1).
// Empty fields are not written. Dates are text in the form of ISO 8601, given
// by the caller: the package has no clock.
type Meta struct {
	Title, Designer, Description, Copyright, LicenseTerms, Rating string
	CreationDate, ModificationDate, Application                   string
}

func (m *Meta) pairs() [][2]string {
	return [][2]string{
		{"Title", m.Title},
		{"Designer", m.Designer},
		{"Description", m.Description},
		{"Copyright", m.Copyright},
		{"LicenseTerms", m.LicenseTerms},
		{"Rating", m.Rating},
		{"CreationDate", m.CreationDate},
		{"ModificationDate", m.ModificationDate},
		{"Application", m.Application},
	}
}

// Item is one part to write: its mesh, mm, its colour ("#rrggbb"; empty for
// none) and where it stands.
type Item struct {
	Name  string
	Color string
	Mesh  *mesh.Mesh
	At    geom.Motion
}

// Write3MF writes the items as a 3MF package, unit millimeter: one object an
// item under its name, and one build item each, placed by its transform. With
// whole set, the build has a single object of that name whose components are
// the items: programs that drop every object to the plate then keep them
// together. Coordinates read back to the same float64.
func Write3MF(w io.Writer, items []Item, whole string, meta Meta) error {
	model, err := model3MF(items, whole, meta)
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, p := range []struct {
		name string
		data []byte
	}{
		{"[Content_Types].xml", []byte(contentTypes)},
		{"_rels/.rels", []byte(rootRels)},
		{modelName, model},
	} {
		if err := addPart(z, p.name, p.data); err != nil {
			return err
		}
	}
	return z.Close()
}

const (
	modelName    = "3D/3dmodel.model"
	contentTypes = xml.Header +
		`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>` +
		"</Types>\n"
	rootRels = xml.Header +
		`<Relationships xmlns="` + nsRels + `">` +
		`<Relationship Id="rel0" Target="/` + modelName + `" Type="` + relModel + `"/>` +
		"</Relationships>\n"
)

// firstDate is 1 January 1980, the first that zip knows (APPNOTE.TXT, section 4.4.6).
const firstDate = 1<<5 | 1

// addPart packs data and adds it with its sizes in the local header: some
// readers do not take data descriptors.
func addPart(z *zip.Writer, name string, data []byte) error {
	var packed bytes.Buffer
	f, err := flate.NewWriter(&packed, flate.DefaultCompression)
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	w, err := z.CreateRaw(&zip.FileHeader{
		Name: name, Method: zip.Deflate,
		ModifiedDate: firstDate, //nolint:staticcheck // CreateRaw writes this field and does not look at Modified
		CRC32:        crc32.ChecksumIEEE(data), UncompressedSize64: uint64(len(data)), CompressedSize64: uint64(packed.Len()),
	})
	if err != nil {
		return err
	}
	_, err = w.Write(packed.Bytes())
	return err
}

// materialsID is the id of the list of colours; object i has id i + 2.
const materialsID = 1

func model3MF(items []Item, whole string, meta Meta) ([]byte, error) {
	if len(items) == 0 {
		return nil, errors.New("3MF: nothing to write")
	}
	var b bytes.Buffer
	b.WriteString(xml.Header)
	fmt.Fprintf(&b, "<model unit=\"millimeter\" xml:lang=\"en-US\" xmlns=%q>\n", nsCore)
	for _, p := range meta.pairs() {
		if p[1] != "" {
			fmt.Fprintf(&b, "<metadata name=%q>%s</metadata>\n", p[0], escaped(p[1]))
		}
	}
	b.WriteString("<resources>\n")
	colors, err := colorList(&b, items)
	if err != nil {
		return nil, err
	}
	for i := range items {
		if err := writable(items[i].Name, items[i].Mesh); err != nil {
			return nil, err
		}
		object3MF(&b, i, &items[i], colors)
	}
	if whole != "" {
		fmt.Fprintf(&b, "<object id=\"%d\" type=\"model\" name=\"%s\">\n<components>\n", len(items)+2, named(whole))
		for i := range items {
			fmt.Fprintf(&b, "<component objectid=\"%d\"%s/>\n", i+2, transform(items[i].At))
		}
		b.WriteString("</components>\n</object>\n")
	}
	b.WriteString("</resources>\n<build>\n")
	if whole != "" {
		fmt.Fprintf(&b, "<item objectid=\"%d\"/>\n", len(items)+2)
	} else {
		for i := range items {
			fmt.Fprintf(&b, "<item objectid=\"%d\"%s/>\n", i+2, transform(items[i].At))
		}
	}
	b.WriteString("</build>\n</model>\n")
	return b.Bytes(), nil
}

// colorList writes one base material for each item that has a colour and gives
// the index of each item in the list, -1 for none.
func colorList(b *bytes.Buffer, items []Item) ([]int, error) {
	at := make([]int, len(items))
	n := 0
	for i := range items {
		if at[i] = -1; items[i].Color != "" {
			if _, err := rgb(items[i].Color); err != nil {
				return nil, fmt.Errorf("%s: %w", items[i].Name, err)
			}
			at[i] = n
			n++
		}
	}
	if n == 0 {
		return at, nil
	}
	fmt.Fprintf(b, "<basematerials id=\"%d\">\n", materialsID)
	for i := range items {
		if at[i] >= 0 {
			fmt.Fprintf(b, "<base name=\"%s\" displaycolor=\"%s\"/>\n", named(items[i].Name), strings.ToUpper(items[i].Color))
		}
	}
	b.WriteString("</basematerials>\n")
	return at, nil
}

func object3MF(b *bytes.Buffer, i int, it *Item, colors []int) {
	fmt.Fprintf(b, "<object id=\"%d\" type=\"model\" name=\"%s\"", i+2, named(it.Name))
	if colors[i] >= 0 {
		fmt.Fprintf(b, " pid=\"%d\" pindex=\"%d\"", materialsID, colors[i])
	}
	b.WriteString(">\n<mesh>\n<vertices>\n")
	var l []byte
	for _, v := range it.Mesh.V {
		l = append(l[:0], `<vertex x="`...)
		l = append(appendNumber(l, v.X), `" y="`...)
		l = append(appendNumber(l, v.Y), `" z="`...)
		b.Write(append(appendNumber(l, v.Z), "\"/>\n"...))
	}
	b.WriteString("</vertices>\n<triangles>\n")
	for _, t := range it.Mesh.T {
		l = append(l[:0], `<triangle v1="`...)
		l = append(strconv.AppendInt(l, int64(t[0]), 10), `" v2="`...)
		l = append(strconv.AppendInt(l, int64(t[1]), 10), `" v3="`...)
		b.Write(append(strconv.AppendInt(l, int64(t[2]), 10), "\"/>\n"...))
	}
	b.WriteString("</triangles>\n</mesh>\n</object>\n")
}

// transform is the attribute for g, empty for a motion that moves nothing. 3MF
// multiplies row vectors, so the rows written are the columns of R.
func transform(g geom.Motion) string {
	if g == geom.Identity() {
		return ""
	}
	rows := [4]vec{
		{X: g.R[0].X, Y: g.R[1].X, Z: g.R[2].X},
		{X: g.R[0].Y, Y: g.R[1].Y, Z: g.R[2].Y},
		{X: g.R[0].Z, Y: g.R[1].Z, Z: g.R[2].Z},
		g.T,
	}
	s := make([]string, 0, len(rows))
	for _, r := range rows {
		s = append(s, point3(r))
	}
	return ` transform="` + strings.Join(s, " ") + `"`
}

// escaped makes s fit for XML text and for attributes in double quotes. Only the
// five named entities of XML are used: some readers (lib3mf 1.8) know no others.
// What XML 1.0 cannot hold becomes U+FFFD.
func escaped(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || r >= ' ' && r <= 0xd7ff || r >= 0xe000 && r <= 0xfffd || r >= 0x10000:
			return r
		}
		return 0xfffd
	}, s)
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "\r", " ").Replace(s)
}

// named is escaped for a name, which has one line.
func named(s string) string {
	return escaped(strings.NewReplacer("\n", " ", "\t", " ").Replace(s))
}
