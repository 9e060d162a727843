package hands

import "feint/internal/diagram"

// longestChain is how many parts one unit of a pusher may move, each pushed by
// the one before.
const longestChain = 3

// push resolves the situations y, into which a step along level k has brought a
// part that may now overlap others. A pair that is not surely free moves apart
// by one of its levels that yield, one way, as far as it takes; once it is apart,
// what then stands in the way is pushed in turn. Levels in used stand still.
func (b *Board) push(k int, y diagram.Set, used diagram.Levels) diagram.Set {
	return b.pushOn(k, y, used, diagram.LevelsOf(k), longestChain)
}

func (b *Board) pushOn(k int, y diagram.Set, used, moved diagram.Levels, chain int) diagram.Set {
	out := diagram.Empty
	if y == diagram.Empty || chain == 0 {
		return out
	}
	sp := b.Space
	for i := range b.Pairs {
		p := &b.Pairs[i]
		yield := p.Yield &^ used
		if yield == 0 || p.On&moved == 0 {
			continue
		}
		hit := sp.Minus(y, p.Firm)
		if hit == diagram.Empty {
			continue
		}
		steps(yield, len(b.Give), func(j int, by int32) {
			x, then := sp.And(hit, b.edge(i, j, by, b.Give[k][j])), moved|diagram.LevelsOf(j)
			for n := int32(0); n < b.Give[k][j] && x != diagram.Empty; n++ {
				x = sp.Shift(j, by, x)
				out = sp.Or(out, sp.And(x, b.free))
				x = sp.Minus(x, b.firm(then))
				out = sp.Or(out, b.pushOn(k, sp.And(x, p.Free), used|diagram.LevelsOf(j), then, chain-1))
				x = sp.Minus(x, p.Firm)
			}
		})
	}
	return out
}

// pull is the inverse of push: the situations which push brings into x.
func (b *Board) pull(k int, x diagram.Set, used diagram.Levels) diagram.Set {
	return b.pullOn(k, b.Space.And(x, b.free), used, diagram.LevelsOf(k), longestChain)
}

func (b *Board) pullOn(k int, x diagram.Set, used, moved diagram.Levels, chain int) diagram.Set {
	out := diagram.Empty
	if x == diagram.Empty || chain == 0 {
		return out
	}
	sp := b.Space
	ends := map[int]diagram.Set{} // by the level that moves first: where it may leave the rest to others
	for i := range b.Pairs {
		p := &b.Pairs[i]
		if p.On&moved == 0 {
			continue
		}
		steps(p.Yield&^used, len(b.Give), func(j int, by int32) {
			if b.Give[k][j] == 0 {
				return
			}
			on, ok := ends[j]
			if !ok {
				on = sp.Minus(b.pullOn(k, x, used|diagram.LevelsOf(j), moved|diagram.LevelsOf(j), chain-1), b.firm(moved|diagram.LevelsOf(j)))
				ends[j] = on
			}
			z := sp.Or(x, sp.And(on, p.Free))
			edge := b.edge(i, j, by, b.Give[k][j])
			for n := int32(0); n < b.Give[k][j] && z != diagram.Empty; n++ {
				z = sp.Minus(sp.Shift(j, -by, z), p.Firm)
				out = sp.Or(out, sp.And(z, edge))
			}
		})
	}
	return out
}

// edgeKey is a pair, a level that yields, which way, and by how much at most.
type edgeKey struct {
	pair, level int
	by, most    int32
}

// edge is where a pair that is not surely free surely comes apart so, within what one
// unit pushes and the slack: a push makes room, and a shift that makes none, however
// far it goes, is no push.
func (b *Board) edge(pair, j int, by, most int32) diagram.Set {
	key := edgeKey{pair, j, by, most}
	if x, ok := b.edges[key]; ok {
		return x
	}
	sp, p := b.Space, &b.Pairs[pair]
	x, apart := diagram.Empty, p.apart()
	for range most + b.Slack {
		apart = sp.Shift(j, -by, apart)
		x = sp.Or(x, apart)
	}
	x = sp.Minus(x, p.Firm)
	if b.edges == nil {
		b.edges = map[edgeKey]diagram.Set{}
	}
	b.edges[key] = x
	return x
}

// apart is where the pair counts as come apart.
func (p *Pair) apart() diagram.Set {
	if p.Apart != diagram.Empty {
		return p.Apart
	}
	return p.Firm
}
