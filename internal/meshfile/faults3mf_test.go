package meshfile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
)

// faultyModel is a sound model of one object with one thing replaced.
func faultyModel(t *testing.T) (with func(old, niu string) string, good string) {
	good = coreModel("", "\n"+oneObject, oneItem)
	return func(old, niu string) string {
		t.Helper()
		if !strings.Contains(good, old) {
			t.Fatalf("%q is not in the model", old)
		}
		return strings.Replace(good, old, niu, 1)
	}, good
}

const oneItem = `<item objectid="1"/>`

type modelFault struct {
	model string
	words []string
}

func tryFaults(t *testing.T, faults map[string]modelFault) {
	for name, c := range faults {
		t.Run(name, func(t *testing.T) { wantFault(t, "a.3mf", packModel(t, c.model), Limits{Ratio: 10_000}, c.words...) })
	}
}

func Test3MFXMLFaults(t *testing.T) {
	with, good := faultyModel(t)
	tryFaults(t, map[string]modelFault{
		"cut":          {good[:len(good)/2], []string{"3D/3dmodel.model, line 5", "XML is broken", "unexpected EOF"}},
		"root":         {strings.ReplaceAll(good, "model", "modell"), []string{`"modell"`, "root element"}},
		"namespace":    {strings.ReplaceAll(good, "core/2015/02", "core/2099"), []string{"core/2099", "root element"}},
		"two roots":    {good + good[strings.Index(good, "<model"):], []string{"follows the root"}},
		"doctype":      {with("<model", "<!DOCTYPE model [<!ENTITY x SYSTEM \"file:///etc/passwd\">]><model"), []string{"document type", "line 2"}},
		"laughs":       {with("<model", `<!DOCTYPE m [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]><model`), []string{"document type"}},
		"entity":       {with(`x="1"`, `x="&one;"`), []string{"XML is broken", "&one;", "line 5"}},
		"encoding":     {with("UTF-8", "Shift_JIS"), []string{"Shift_JIS"}},
		"unit":         {with("<model", `<model unit="cubit"`), []string{`"cubit"`, "line 2"}},
		"no item":      {with(oneItem, ""), []string{"builds nothing"}},
		"unknown item": {with(oneItem, `<item objectid="9"/>`), []string{"no object 9"}},
		"no id":        {with(` id="1"`, ""), []string{"object without id", "line 4"}},
		"id 0":         {with(` id="1"`, ` id="0"`), []string{"object id 0"}},
		"id text":      {with(` id="1"`, ` id="one"`), []string{`id is "one"`}},
		"id large":     {with(` id="1"`, ` id="2147483648"`), []string{"2147483647"}},
		"same ids":     {with(oneObject, oneObject+"\n"+oneObject), []string{"object id 1 is given twice", "first in line 4", "line 9"}},
		"same attr":    {with(` id="1"`, ` id="1" id="2"`), []string{"given twice"}},
	})
}

func Test3MFMeshFaults(t *testing.T) {
	with, good := faultyModel(t)
	item := func(tr string) string { return with(oneItem, `<item objectid="1" transform="`+tr+`"/>`) }
	tryFaults(t, map[string]modelFault{
		"index":         {with(`v2="2"`, `v2="4"`), []string{"triangle 1 of object 1 names vertex 4", "4 vertices", "line 7"}},
		"index < 0":     {with(`v2="2"`, `v2="-1"`), []string{`v2 is "-1"`}},
		"no index":      {with(`v2="2"`, ``), []string{"triangle without v2"}},
		"nan":           {with(`x="1"`, `x="NaN"`), []string{`"NaN" is not a number`, "line 5"}},
		"inf":           {with(`x="1"`, `x="1e400"`), []string{`"1e400"`, "line 5"}},
		"far":           {with(`x="1"`, `x="1e20"`), []string{"vertex 1 of object 1", "1e+20"}},
		"no x":          {with(`x="1" `, ``), []string{"vertex without x"}},
		"no triangles":  {strings.Replace(good, tetraXML, tetraXML[:strings.Index(tetraXML, "<triangles>")]+"</mesh>", 1), []string{"object 1 has no triangle"}},
		"no mesh":       {with(tetraXML, ""), []string{"object 1 must have either a mesh or components"}},
		"two meshes":    {with(tetraXML, tetraXML+tetraXML), []string{"two meshes"}},
		"flat":          {item("1 0 0 0 1 0 0 0 0 0 0 0"), []string{"singular"}},
		"nearly flat":   {item("1 0 0 0 1 0 1 1 1e-8 0 0 0"), []string{"singular"}},
		"zero":          {item("0 0 0 0 0 0 0 0 0 0 0 0"), []string{"singular"}},
		"eleven":        {item("1 0 0 0 1 0 0 0 1 0 0"), []string{"11 numbers", "expected 12"}},
		"shift nan":     {item("1 0 0 0 1 0 0 0 1 0 0 nan"), []string{`"nan" is not a number`}},
		"transform inf": {item("1e308 0 0 0 1e308 0 0 0 1e308 0 0 0"), []string{"singular"}},
		"itself": {
			with(oneObject, `<object id="1"><components><component objectid="1"/></components></object>`),
			[]string{"object 1 is a component of itself"},
		},
		"circle": {
			with(oneObject, `<object id="2"><components><component objectid="1"/></components></object>
<object id="1"><components><component objectid="2"/></components></object>`),
			[]string{"component of itself"},
		},
		"no component": {
			with(oneObject, `<object id="1"><components><component objectid="5"/></components></object>`),
			[]string{"no object 5", "line 4"},
		},
		"deep": {
			with("<resources>", "<resources>"+strings.Repeat("<a>", 100)+strings.Repeat("</a>", 100)),
			[]string{"nested deeper than 64"},
		},
		"long tag": {
			with("<object", `<object name="`+strings.Repeat("long", 300_000)+`"`),
			[]string{"more than 1048576 bytes"},
		},
	})
}

func TestPackageFaults(t *testing.T) {
	good := coreModel("", oneObject, `<item objectid="1"/>`)
	rels := func(old, niu string) string { return strings.Replace(testRels, old, niu, 1) }
	whole := packModel(t, good)
	damaged := append([]byte{}, whole...)
	damaged[bytes.Index(damaged, []byte("3dmodel.model"))+30] ^= 0xff
	for name, c := range map[string]struct {
		data  []byte
		words []string
	}{
		"cut":          {whole[:len(whole)-30], []string{"cut short"}},
		"damaged":      {damaged, []string{"3D/3dmodel.model"}},
		"no rels":      {pack(t, "readme.txt", "hello"), []string{"_rels/.rels", "not a 3MF"}},
		"empty zip":    {pack(t), []string{"not a 3MF"}},
		"no model":     {pack(t, "_rels/.rels", rels("/2013/01/3dmodel", "/other"), "3D/3dmodel.model", good), []string{"names no 3D model"}},
		"missing":      {pack(t, "_rels/.rels", testRels), []string{`no file "3D/3dmodel.model"`}},
		"external":     {pack(t, "_rels/.rels", rels("Id=", `TargetMode="External" Id=`), "3D/3dmodel.model", good), []string{"outside the package"}},
		"url":          {pack(t, "_rels/.rels", rels("/3D/3dmodel.model", "http://host/m.model"), "3D/3dmodel.model", good), []string{"http://host/m.model"}},
		"target up":    {pack(t, "_rels/.rels", rels("/3D/", "/../../"), "3D/3dmodel.model", good), []string{"leads out of the package"}},
		"entry up":     {pack(t, "../evil", "x", "_rels/.rels", testRels, "3D/3dmodel.model", good), []string{`"../evil"`, "leads out"}},
		"entry root":   {pack(t, "/evil", "x", "_rels/.rels", testRels, "3D/3dmodel.model", good), []string{`"/evil"`}},
		"entry dos":    {pack(t, `3D\3dmodel.model`, good, "_rels/.rels", testRels), []string{`3D\\3dmodel.model`}},
		"entry twice":  {pack(t, "3D/3dmodel.model", good, "3d/3DModel.model", good, "_rels/.rels", testRels), []string{"two files"}},
		"many entries": {pack(t, manyParts(5000)...), []string{"a package of 5000 files", "4096"}},
		"rels doctype": {pack(t, "_rels/.rels", rels("<Relationships", "<!DOCTYPE x><Relationships")), []string{"document type"}},
	} {
		t.Run(name, func(t *testing.T) { wantFault(t, "a.3mf", c.data, Limits{}, c.words...) })
	}
}

func manyParts(n int) []string {
	var p []string
	for i := range n {
		p = append(p, fmt.Sprintf("f%d", i), "")
	}
	return p
}

// A zip bomb is stopped by its ratio, a slow one by the sum.
func TestZipBombs(t *testing.T) {
	blanks := coreModel("", oneObject+strings.Repeat("<!-- -->", 5<<20), `<item objectid="1"/>`)
	bomb := packModel(t, blanks)
	if ratio := len(blanks) / len(bomb); ratio < 500 {
		t.Fatalf("the bomb packs only %d times", ratio)
	}
	wantFault(t, "a.3mf", bomb, Limits{}, "zip bomb", "200 times")
	wantFault(t, "a.3mf", bomb, Limits{Ratio: 10_000, Expanded: 1 << 20}, "limit of 1048576 bytes")
	lying := bytes.Clone(bomb) // the directory says that the part is small and packs badly
	i := bytes.LastIndex(lying, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint32(lying[i+24:], 100)
	wantFault(t, "a.3mf", lying, Limits{}, "3D/3dmodel.model")
}

// Ten components of ten components of ... is a bomb without compression.
func TestComponentBombs(t *testing.T) {
	res := oneObject
	for id := 2; id < 12; id++ {
		res += fmt.Sprintf(`<object id="%d"><components>%s</components></object>`, id,
			strings.Repeat(fmt.Sprintf(`<component objectid="%d"/>`, id-1), 10))
	}
	wantFault(t, "a.3mf", packModel(t, coreModel("", res, `<item objectid="11"/>`)), Limits{}, "with copies", "the limit is 4000000")
	wantFault(t, "a.3mf", packModel(t, coreModel("", res, `<item objectid="6"/>`)), Limits{}, "more than 4096 objects once all copies are made")

	chain := oneObject
	for id := 2; id < 200; id++ {
		chain += fmt.Sprintf(`<object id="%d"><components><component objectid="%d"/></components></object>`, id, id-1)
	}
	wantFault(t, "a.3mf", packModel(t, coreModel("", chain, `<item objectid="199"/>`)), Limits{}, "components nested deeper than 64")
}

func Test3MFLimits(t *testing.T) {
	good := packModel(t, coreModel("", oneObject, `<item objectid="1"/>`))
	wantFault(t, "a.3mf", good, Limits{Triangles: 3}, "the limit is 3")
	many := strings.Replace(oneObject, "</vertices>", strings.Repeat(`<vertex x="0" y="0" z="0"/>`, 9)+"</vertices>", 1)
	wantFault(t, "a.3mf", packModel(t, coreModel("", many, `<item objectid="1"/>`)), Limits{Triangles: 4}, "more than 12 vertices")
	wantFault(t, "a.3mf", packModel(t, coreModel("", oneObject+strings.ReplaceAll(oneObject, `"1" name`, `"2" name`), `<item objectid="1"/>`)),
		Limits{Entries: 1}, "more than 1 objects")
}

// An archive whose local file is encrypted or packed by another method.
func TestZipMethods(t *testing.T) {
	whole := packModel(t, coreModel("", oneObject, `<item objectid="1"/>`))
	i := bytes.LastIndex(whole, []byte("PK\x01\x02"))
	secret := bytes.Clone(whole)
	secret[i+8] |= 1
	wantFault(t, "a.3mf", secret, Limits{}, "encrypted")
	lzma := bytes.Clone(whole)
	lzma[i+10] = 14
	wantFault(t, "a.3mf", lzma, Limits{}, "method 14")
	if zip.Deflate != 8 {
		t.Fatal("deflate is method 8 in APPNOTE.TXT 4.4.5")
	}
}
