package strength

import "feint/internal/forces"

// Hand is what a hand can do in one way.
type Hand struct {
	What   string
	Weak   float64 // what nearly every hand can do
	Strong float64 // what nearly no hand exceeds
	Unit   string  // "N" or "N m"
	Source string
}

// deviations from the mean that count as weak and strong: two, that is about one in fifty
// beyond on either side.
const deviations = 2

// Hands lists what hands can do. Weak hands stand for "can be opened", strong ones for
// "can be broken". The push and the pinch are common practice without a source.
func Hands() []Hand {
	men, women := forces.About(4.3, deviations*1.5), forces.About(3.3, deviations*0.9)
	grip := forces.About(231, deviations*67.7)
	return []Hand{
		{Twist, women.Lo, men.Hi, "N m", "twisting a lid: men 4.3 +- 1.5, women 3.3 +- 0.9 N m; two deviations"},
		{Grip, grip.Lo, grip.Hi, "N", "grip at 38 mm: 231 +- 67.7 N; two deviations"},
		{Pull, 18, 100, "N", "MIL-STD-1472E: 18 N at most for a pull with fingers; the strong end is common practice, no source"},
		{Push, 20, 150, "N", "common practice, no source"},
	}
}

// The names of what hands do.
const (
	Twist = "twist a lid"
	Grip  = "grip"
	Pull  = "pull with the fingers"
	Push  = "push with the thumb"
)

// HandOf gives a row of Hands by its name; of an unknown name it has no force.
func HandOf(what string) Hand {
	for _, h := range Hands() {
		if h.What == what {
			return h
		}
	}
	return Hand{What: what}
}
