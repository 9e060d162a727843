package yield

import "feint/internal/motion"

// OracleOf is the oracle of a question of a judge: 0 whether the box opens, s+1
// whether it does without step s.
func OracleOf(j *motion.Judge, question int) Oracle { return engine{j, question - 1} }

type engine struct {
	j    *motion.Judge
	step int
}

func (e engine) Yes(needs []float64) (bool, error)     { return e.j.Way(needs, e.step) }
func (e engine) No(needs []float64) (bool, error)      { return e.j.NoWay(needs, e.step) }
func (e engine) Sharpen(needs []float64) (bool, error) { return e.j.Sharpen(needs, e.step) }
