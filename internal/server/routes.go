package server

import (
	"net/http"

	"feint/internal/export"
)

// route is one thing that can be asked. In and out are values of the types that
// go over the wire; raw ones answer with something other than JSON.
type route struct {
	method, path string
	id           string // unique, for OpenAPI
	doc          string
	in, out      any
	raw          string // media type of an answer that is no JSON
	takes        string // media type of a body that is no JSON
	must, may    string // name of a query that must, or may, be given
	open         bool   // asked before a session is there
	body         int64  // largest body, bytes; 0: none is read
	serve        func(*Server, http.ResponseWriter, *http.Request) (any, error)
}

const (
	smallBody = 64 << 10
	textBody  = 1 << 20
)

// routes is the table of the interface.
func routes() []route {
	return []route{
		{method: "POST", path: "/api/enter", id: "enter", doc: "Exchange the secret of this start for a session cookie.", in: Key{}, out: None{}, open: true, body: 4 << 10, serve: (*Server).enter},
		{method: "GET", path: "/api/bench", id: "bench", doc: "What the page asks first.", out: Bench{}, serve: (*Server).bench},
		{method: "GET", path: "/api/events", id: "events", doc: "Server-sent events: each message is one Event. The query names the tab.", must: "tab", out: Event{}, raw: "text/event-stream", serve: (*Server).events},
		{method: "POST", path: "/api/proofs", id: "prove", doc: "Prove a design. What happens comes as events; a later question of the same tab ends this one.", in: ProofAsked{}, out: Started{}, body: smallBody, serve: (*Server).prove},
		{method: "DELETE", path: "/api/proofs/{proof}", id: "stop", doc: "Stop a proof under way, for the tab in the query.", must: "tab", out: None{}, serve: (*Server).stop},
		{method: "POST", path: "/api/proofs/{proof}/drawn", id: "drawn", doc: "The first picture is drawn: the proof that waited for it goes on.", out: None{}, serve: (*Server).drawn},
		{method: "GET", path: "/api/proofs/{proof}/pictures", id: "pictures", doc: "The storyboard and the unrolled sheets of a finished proof.", out: export.Views{}, serve: (*Server).pictures},
		{method: "GET", path: "/api/proofs/{proof}/report", id: "report", doc: "The proof as one HTML page to keep.", raw: "text/html", serve: (*Server).report},
		{method: "POST", path: "/api/compare", id: "compare", doc: "Set two finished proofs side by side.", in: Two{}, out: Compared{}, body: smallBody, serve: (*Server).compare},
		{method: "POST", path: "/api/yields", id: "yield", doc: "How many prints of a proved design will work on a printer. It may take minutes and ends with the request; what it is doing comes as events to the tab.", in: YieldAsked{}, out: Yield{}, body: smallBody, serve: (*Server).yield},
		{method: "GET", path: "/api/meshes/{mesh}", id: "mesh", doc: "Triangles: the counts of vertices and triangles (uint32), then x, y, z of every vertex (float32, mm) and three indices of every triangle (uint32), little endian.", raw: "application/octet-stream", serve: (*Server).mesh},
		{method: "GET", path: "/api/stages/{stage}/files", id: "files", doc: "Everything to print, as a ZIP file.", raw: "application/zip", serve: (*Server).files},
		{method: "POST", path: "/api/stages/{stage}/exports", id: "export", doc: "Make the files to print, as feint export does: single parts, plates, the assembled view, a cut-away.", in: ExportAsked{}, out: Exported{}, body: smallBody, serve: (*Server).exports},
		{method: "GET", path: "/api/stages/{stage}/fits", id: "fits", doc: "Where parts slide in each other, the tightest first.", out: Fits{}, serve: (*Server).fits},
		{method: "POST", path: "/api/stages/{stage}/gauges", id: "gauges", doc: "Cut gauges out of the design, as feint gauge does.", in: GaugesAsked{}, out: Exported{}, body: smallBody, serve: (*Server).gauges},
		{method: "GET", path: "/api/exports/{export}/files/{file}", id: "exportedFile", doc: "One made file, by its number in the list, from 1.", raw: "*/*", serve: (*Server).exportedFile},
		{method: "GET", path: "/api/exports/{export}/zip", id: "exportedZip", doc: "All made files, as a ZIP file.", raw: "application/zip", serve: (*Server).exportedZip},
		{method: "POST", path: "/api/play/room", id: "room", doc: "How far each travel of a part can go from a configuration.", in: Spot{}, out: Rooms{}, body: smallBody, serve: (*Server).room},
		{method: "POST", path: "/api/play/pull", id: "pull", doc: "Draw a part towards values of its travels, as far as it goes.", in: Pull{}, out: Pulled{}, body: smallBody, serve: (*Server).pull},
		{method: "POST", path: "/api/play/begin", id: "beginPlay", doc: "Where everything has come to rest before anybody moves.", in: Spot{}, out: Pulled{}, body: smallBody, serve: (*Server).begin},
		{method: "POST", path: "/api/play/turn", id: "turn", doc: "Turn the box to be held another way; what can fall does.", in: Turned{}, out: Pulled{}, body: smallBody, serve: (*Server).turn},
		{method: "POST", path: "/api/play/take", id: "take", doc: "Take a tool out of the box and put it in elsewhere.", in: Taken{}, out: Pulled{}, body: smallBody, serve: (*Server).take},
		{method: "POST", path: "/api/play/near", id: "near", doc: "The clearance of a part to the nearest other.", in: Spot{}, out: Near{}, body: smallBody, serve: (*Server).near},
		{method: "POST", path: "/api/play/onward", id: "onward", doc: "A shortest way to the goal from a configuration.", in: Spot{}, out: Onward{}, body: smallBody, serve: (*Server).onward},
		{method: "POST", path: "/api/designs", id: "newDesign", doc: "Begin a design in the workshop, as feint new does: a small box that works, to be changed. Nothing is overwritten (409, code there).", in: NewDesign{}, out: Text{}, body: smallBody, serve: (*Server).newDesign},
		{method: "GET", path: "/api/designs/{design}", id: "read", doc: "The text of a design.", out: Text{}, serve: (*Server).readDesign},
		{method: "PUT", path: "/api/designs/{design}", id: "save", doc: "Write a design, unless its file changed since it was read (409, code newer).", in: Save{}, out: Text{}, body: textBody, serve: (*Server).saveDesign},
		{method: "POST", path: "/api/designs/{design}/check", id: "check", doc: "What is wrong with a text, by line; nothing is written.", in: TextOnly{}, out: Checked{}, body: textBody, serve: (*Server).checkDesign},
		{method: "POST", path: "/api/designs/{design}/set", id: "setInText", doc: "The text with other defaults of its params, all else as it was; nothing is written.", in: SetInText{}, out: TextOnly{}, body: textBody, serve: (*Server).setInText},
		{method: "GET", path: "/api/workshop/{design}", id: "workshop", doc: "What the logbook holds of a design, with what the standing checks say of a proof.", may: "proof", out: Workshop{}, serve: (*Server).workshop},
		{method: "POST", path: "/api/workshop", id: "beginLogbook", doc: "Begin a logbook in the workshop folder.", in: None{}, out: None{}, body: smallBody, serve: (*Server).beginBook},
		{method: "POST", path: "/api/workshop/{design}/lines", id: "logLine", doc: "Do what a line for the logbook says.", in: LogLine{}, out: Logged{}, body: smallBody, serve: (*Server).logLine},
		{method: "POST", path: "/api/workshop/{design}/solves", id: "logSolve", doc: "Keep a session of play as a solve.", in: SolveGiven{}, out: Logged{}, body: smallBody, serve: (*Server).logSolve},
		{method: "POST", path: "/api/undo", id: "undoDeed", doc: "Take a deed of the logbook back.", in: DeedNamed{}, out: None{}, body: smallBody, serve: (*Server).undoDeed},
		{method: "POST", path: "/api/workshop/{design}/readings", id: "logReadings", doc: "Keep readings of a gauge, or of the last print.", in: ReadingsGiven{}, out: Logged{}, body: smallBody, serve: (*Server).logReadings},
		{method: "POST", path: "/api/revisions", id: "keepRevision", doc: "Keep the revision of a finished proof in the logbook, with the question it is to answer.", in: KeepAsked{}, out: RevisionKept{}, body: smallBody, serve: (*Server).keep},
		{method: "GET", path: "/api/history", id: "history", doc: "What was done to the logbook, the newest first.", out: Deeds{}, serve: (*Server).history},
		{method: "POST", path: "/api/records/{kind}", id: "addRecord", doc: "Add a printer, nozzle, spool or profile.", in: RecordSet{}, out: Done{}, body: smallBody, serve: (*Server).addRecord},
		{method: "GET", path: "/api/records/{kind}/{record}", id: "record", doc: "One record of the logbook, with what it was before.", out: Record{}, serve: (*Server).record},
		{method: "PUT", path: "/api/records/{kind}/{record}", id: "editRecord", doc: "Change fields of a record; what it was stays in the history.", in: RecordSet{}, out: Done{}, body: smallBody, serve: (*Server).editRecord},
		{method: "DELETE", path: "/api/records/{kind}/{record}", id: "dropRecord", doc: "Remove a record; the history keeps it.", out: Done{}, serve: (*Server).dropRecord},
		{method: "POST", path: "/api/faults/{fault}/stand", id: "stand", doc: "Make a fault a standing check of its design.", in: BoundGiven{}, out: Stood{}, body: smallBody, serve: (*Server).stand},
		{method: "POST", path: "/api/photos/{of}/{record}", id: "keepPhoto", doc: "Keep a photo of a trial, a fault or a revision.", takes: "image/*", out: Done{}, body: maxPhoto, serve: (*Server).keepPhoto},
		{method: "GET", path: "/api/photos/{photo}", id: "photo", doc: "The small picture of a photo.", raw: "image/*", serve: (*Server).photo},
		{method: "GET", path: "/api/photos/{photo}/whole", id: "wholePhoto", doc: "A photo as it was kept.", raw: "image/*", serve: (*Server).wholePhoto},
		{method: "GET", path: "/api/printers", id: "printers", doc: "What is known of every printer of the workshop, and what its readings teach.", out: Printers{}, serve: (*Server).printersKnown},
		{method: "POST", path: "/api/printers", id: "learnPrinter", doc: "Learn a printer's setting anew from the readings of the logbook, and write it into printers.toml, as feint printer learn does.", in: LearnAsked{}, out: Learnt{}, body: smallBody, serve: (*Server).learn},
		{method: "PUT", path: "/api/printers/preferred", id: "preferPrinter", doc: "Say which printer's setting the workshop prefers, as feint printer prefer does.", in: Preference{}, out: None{}, body: smallBody, serve: (*Server).prefer},
	}
}
