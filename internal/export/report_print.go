package export

import (
	"fmt"

	"feint/internal/verdict/wording"
)

// adviceView is what only advises on the print.
type adviceView struct {
	Summary  string
	Findings []*FindingInfo
}

// advised tells whether a finding only advises on the print.
func advised(f *FindingInfo) bool { return f.About == aboutPrint && f.Severity != "fault" }

// adviceOf takes the findings that only advise on the print; nil if there is none.
func adviceOf(fs []FindingInfo) *adviceView {
	v := &adviceView{}
	for i := range fs {
		if advised(&fs[i]) {
			v.Findings = append(v.Findings, &fs[i])
		}
	}
	if len(v.Findings) == 0 {
		return nil
	}
	v.Summary = ruleCounts(v.Findings)
	return v
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
