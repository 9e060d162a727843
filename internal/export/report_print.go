package export

import (
	"fmt"

	"feint/internal/verdict/wording"
)

// adviceView is what only advises on the print.
type adviceView struct {
	Summary  string
	Findings []findingView
}

// findingView is a finding as the report tells it.
type findingView struct {
	*FindingInfo
	Advice string // what to change
}

// findingViews leaves out advice that was given before.
func findingViews(told []*FindingInfo) []findingView {
	out := make([]findingView, len(told))
	for i, words := range changesOf(told) {
		out[i] = findingView{told[i], words}
	}
	return out
}

// toldInFull are the findings that do more than advise on the print.
func toldInFull(fs []FindingInfo) []findingView {
	var out []*FindingInfo
	for i := range fs {
		if !advised(&fs[i]) {
			out = append(out, &fs[i])
		}
	}
	return findingViews(out)
}

// advised tells whether a finding only advises on the print.
func advised(f *FindingInfo) bool { return f.About == aboutPrint && f.Severity != "fault" }

// adviceOf takes the findings that only advise on the print; nil if there is none.
func adviceOf(fs []FindingInfo) *adviceView {
	var out []*FindingInfo
	for i := range fs {
		if advised(&fs[i]) {
			out = append(out, &fs[i])
		}
	}
	if len(out) == 0 {
		return nil
	}
	return &adviceView{ruleCounts(out), findingViews(out)}
}

// standingCount sums up the answers of the standing checks.
func standingCount(all []StandingInfo) string {
	n := map[string]int{}
	for i := range all {
		n[all[i].Answer]++
	}
	return fmt.Sprintf("%s: %d hold, %d would come back, %d not told.", wording.Count(len(all), "standing check"), n["holds"], n["returns"], n["untold"])
}

// answerWords is the answer of a standing check as it is read.
func answerWords(answer string) string {
	switch answer {
	case "returns":
		return "would come back"
	case "untold":
		return "not told"
	}
	return answer
}
