package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"

	"feint/internal/cache"
	"feint/internal/forces/survey"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/printable"

	"golang.org/x/sync/errgroup"
)

// aside is what hangs on the meshes alone, found while the maps are asked.
type aside struct {
	group    *errgroup.Group
	survey   *survey.Survey
	assembly *hands.Assembly // out of the start; nil where a mesh is broken
	printing *printable.Survey
}

// begin sets out on it. The error of wait is the first that was met.
func begin(ctx context.Context, out *Outcome, o Options) *aside {
	a := &aside{}
	a.group, ctx = errgroup.WithContext(ctx)
	a.group.Go(func() (err error) {
		a.survey, err = surveyed(ctx, out.Mechanism, out.Bodies, o)
		return err
	})
	a.group.Go(func() (err error) {
		a.printing, err = printing(ctx, out.Mechanism, out.Bodies, o, o.print())
		return err
	})
	for i := range out.Bodies {
		if !out.Bodies[i].Sound() {
			return a
		}
	}
	a.group.Go(func() (err error) {
		a.assembly, err = assembly(ctx, out, [][]float64{out.Mechanism.Start}, false, o)
		return err
	})
	return a
}

func (a *aside) wait() error {
	if a == nil {
		return nil
	}
	return a.group.Wait()
}

// assembly looks for the order in which the parts go in, in the first configuration of a way,
// further than straight ways if that is asked; or takes it from the cache where neither
// meshes nor travels have changed.
func assembly(ctx context.Context, out *Outcome, way [][]float64, further bool, o Options) (*hands.Assembly, error) {
	m := out.Mechanism
	words := []string{"assembly 8", fmt.Sprint(m.Tools), fmt.Sprint(way, further), fmt.Sprint(m.PressFits), travelsKey(m)}
	for i := range m.Parts {
		p := &m.Parts[i]
		words = append(words, out.Bodies[i].Hash, fmt.Sprint(p.Frame, p.Glued, p.Material.Bought))
	}
	key := cache.Key(words...)
	if raw, ok := o.Cache.Get(key); ok {
		a := &hands.Assembly{}
		if gob.NewDecoder(bytes.NewReader(raw)).Decode(a) == nil {
			return a, nil
		}
	}
	var a *hands.Assembly
	var err error
	if further {
		a, err = hands.AssembleFurther(ctx, m, bodyMeshes(out), way)
	} else {
		a, err = hands.Assemble(ctx, m, bodyMeshes(out), way[0])
	}
	if err != nil {
		return nil, fmt.Errorf("assembly: %w", err)
	}
	var buf bytes.Buffer
	if gob.NewEncoder(&buf).Encode(a) == nil {
		_ = o.Cache.Put(key, buf.Bytes())
	}
	return a, nil
}

// travelsKey names how the parts are carried and how they travel.
func travelsKey(m *mechanism.Mechanism) string {
	var words []string
	for i := range m.Parts {
		words = append(words, fmt.Sprint(m.Parts[i].Carrier, m.Parts[i].Travels))
	}
	for i := range m.Travels {
		t := &m.Travels[i]
		words = append(words, fmt.Sprint(t.Part, t.Kind, t.Axis, t.Lo, t.Hi, t.Full, t.Lead))
	}
	return cache.Key(words...)
}
