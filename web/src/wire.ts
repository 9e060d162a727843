// Made from internal/server by go generate; do not edit.

export interface Attitude {
  up: [number, number, number];
  words: string;
  near: number[];
}

export interface AttitudeInfo {
  down: number[][];
  share: number;
  runs: string[];
  surely: string[];
  opens: string;
}

export interface Bench {
  version: string;
  folder: string;
  designs: string[];
  design: string;
  growth: WireRange;
  logbook: boolean;
  printers: string[];
  settings: PrinterSetting[];
  preferred: string;
  fixed: boolean;
}

export interface Bound {
  travel: number;
  lo: number | null;
  hi: number | null;
}

export interface BoundGiven {
  bound: string;
}

export interface CheckInfo {
  name: string;
  agreed: boolean;
  detail: string;
}

export interface CheckRow {
  id: number;
  words: string;
  fault: string;
  rests: boolean;
  answer: string;
  why: string;
}

export interface Checked {
  problems: Problem[];
}

export interface Compared {
  before: string;
  after: string;
  rows: ComparedRow[];
}

export interface ComparedRow {
  name: string;
  before: string;
  after: string;
  change: string;
}

export interface CourseInfo {
  part: string;
  travel: string;
  unit: string;
  force_unit: string;
  forward: SpanInfo;
  backward: SpanInfo;
  curve: PushInfo[];
}

export interface CureInfo {
  param: string;
  unit: string;
  from: number;
  to: number;
  stays: number;
  proved: boolean;
}

export interface DeedNamed {
  deed: number;
}

export interface DeedRow {
  id: number;
  at: string;
  what: string;
  rows: number;
  undone: number;
  undoes: number;
}

export interface Deeds {
  deeds: DeedRow[];
}

export interface DesignInfo {
  name: string;
  title: string;
  designer: string;
  revision: string;
  license: string;
  note: string;
}

export interface Done {
  id: number;
  deed: number;
}

export interface Effect {
  part: number;
  how: string;
  words: string;
}

export interface EntryInfo {
  part: string;
  with: string[];
  way_in: [number, number, number];
  turned_about: string[];
  blocked_by: string[];
  way_in_found: boolean;
  then_straight: LegInfo | null;
  then_along: ThenInfo | null;
  path: StretchInfo[];
  stands: StandInfo[];
  then_moved: ShiftInfo[];
  proved: string;
}

export interface ExpectedInfo {
  setting: string;
  sentence: string;
  yield: YieldDocument | null;
}

export interface ExportAsked {
  plate: string;
  cut: string;
  parts: string[];
}

export interface Exported {
  id: string;
  name: string;
  files: ExportedFile[];
  notes: string[];
  gauges: GaugeRow[];
}

export interface ExportedFile {
  name: string;
  bytes: number;
  what: string;
}

export interface FaultRow {
  id: number;
  at: string;
  revision: number;
  words: string;
  cause: string;
  cure: string;
  cured_in: number;
  rule: string;
  photos: number[];
}

export interface FieldRow {
  name: string;
  value: string;
}

export interface Figure {
  id: string;
  title: string;
  svg: string;
  narrow: string;
  words: string;
  legend: LegendKey[];
  tables: FigureTable[];
}

export interface FigureMark {
  part: string;
  at: [number, number, number];
}

export interface FigureTable {
  caption: string;
  heads: string[];
  rows: string[][];
  marks: FigureMark[];
  show: number[][];
}

export interface FileSeen {
  design: string;
  sha256: string;
  others: boolean;
}

export interface FindingInfo {
  rule: string;
  severity: string;
  about: string;
  where: WhereInfo;
  message: string;
  margin: MarginInfo | null;
  change: string;
  cures: CureInfo[];
  cures_tried: boolean;
  cures_need_try: boolean;
}

export interface FitInfo {
  leak_growth_mm: number | null;
  bind_growth_mm: number | null;
  uncertainty_mm: number | null;
  leak_growth_with_play_mm: number | null;
  leak: LimitInfo | null;
  bind: LimitInfo | null;
  leak_with_play: LimitInfo | null;
  holds_down_to_mm: number | null;
  confirmed: boolean | null;
  tightest: TightestInfo | null;
}

export interface FitRow {
  number: number;
  inner: string;
  outer: string;
  round: boolean;
  wide_mm: number;
  gap_mm: number;
  alike: number;
}

export interface Fits {
  fits: FitRow[];
}

export interface Frame {
  n: number;
  part: string;
  words: string[];
  room: string;
  held: string;
  svg: string;
}

export interface GaugeRow {
  name: string;
  title: string;
  minutes: number;
  grams: number;
  notes: string[];
  places: PlaceRow[];
}

export interface GaugesAsked {
  fits: number[];
  most: number;
  gaps_mm: number[];
  plain: boolean;
  on: string;
}

export interface GiveInfo {
  part: string;
  travel: string | null;
  way: string;
  from: SpanInfo;
}

export interface GrowthRange {
  lo_mm: number;
  hi_mm: number;
}

export interface Halt {
  at: number;
  cause: string;
  by: number;
  words: string;
}

export interface HandlingInfo {
  tilt: LoadInfo;
  shake: LoadInfo;
  shakes: LoadInfo[];
  spin: LoadInfo;
  knock: LoadInfo;
  force: LoadInfo;
  trap: string;
  attitudes: AttitudeInfo[];
  lids: LidInfo[];
  magnets: CourseInfo[];
  magnets_on_way: OnWayInfo[];
  magnets_meet: MeetingInfo[];
  pushers: PusherInfo[];
  assembly: EntryInfo[];
  assembly_tried: TriedInfo | null;
}

export interface KeepAsked {
  proof: string;
  question: string;
}

export interface Key {
  key: string;
}

export interface LearnAsked {
  name: string;
  printer: string;
  spool: string;
  profile: string;
}

export interface Learnt {
  words: string[];
}

export interface LegInfo {
  way: [number, number, number];
  far_mm: number;
}

export interface LegendKey {
  key: string;
  words: string;
}

export interface LidInfo {
  part: string;
  travel: string;
  grams: number;
  magnets: number;
  pull_n: SpanInfo;
  peel_n: SpanInfo;
  kept_g: SpanInfo;
  need: number;
  curve: OpenedInfo[];
}

export interface LimitInfo {
  lo_mm: number | null;
  hi_mm: number | null;
}

export interface LoadInfo {
  level: number | null;
  unit: string;
  outcome: string;
  sure: boolean;
  step: string | null;
  margin: SpanInfo;
  gives_way_first: GiveInfo | null;
  moves: string[];
  hold_one_of: string[];
  words: string;
}

export interface LogLine {
  line: string;
  set: ParamValue[];
}

export interface Logged {
  words: string[];
  deed: number;
  trial: number;
  fault: number;
}

export interface MagnetName {
  part: string;
  magnet: string;
}

export interface MarginInfo {
  value: number;
  unit: string;
}

export interface MeetInfo {
  at: Setting[];
  apart_mm: number;
  sense: string;
  pull_n: SpanInfo;
  side_n: SpanInfo;
  unsure: string;
}

export interface MeetingInfo {
  a: MagnetName;
  b: MagnetName;
  meant: string;
  nearest: MeetInfo;
  against: MeetInfo | null;
  reached: boolean;
}

export interface MoveInfo {
  part: string;
  travel?: string;
  travels?: string[];
  from: unknown;
  to: unknown;
  strokes: StrokeInfo[];
  clearance_mm: number | null;
  against: string | null;
  words: string[];
}

export interface Near {
  other: number;
  clearance_mm: number;
  words: string;
}

export interface NewDesign {
  name: string;
}

export interface None {
}

export interface OnWayInfo {
  move: number;
  part: string;
  travel: string;
  unit: string;
  force_unit: string;
  from: number;
  to: number;
  takes: SpanInfo;
  at: number;
  takes_as_at_start: SpanInfo;
  differs: boolean;
  curve: PushInfo[];
}

export interface Onward {
  opens: string;
  there: boolean;
  way: Shown[];
  least: number;
  words: string;
}

export interface OpenedInfo {
  open_mm: number;
  at_mm: number;
  pull_n: SpanInfo;
}

export interface Opening {
  axis: string;
  at_mm: number;
  whole: number[];
}

export interface OpeningInfo {
  at: string;
  growth_mm: number;
  opens: string;
  moves: number | null;
}

export interface Param {
  name: string;
  value: number;
  default: number;
  min: number | null;
  max: number | null;
  unit: string;
  note: string;
  whole: boolean;
  line: number;
}

export interface ParamInfo {
  name: string;
  value: number;
  default: number;
  min: number | null;
  max: number | null;
  unit: string;
  note: string;
}

export interface ParamValue {
  name: string;
  value: number;
}

export interface Part {
  name: string;
  frame: boolean;
  carrier: number;
  travels: number[];
  color: string;
  mesh: string;
  sound: boolean;
  grams: number;
  hidden: boolean;
}

export interface PartInfo {
  name: string;
  frame: boolean;
  carrier: string | null;
  travels: TravelInfo[];
}

export interface PastRow {
  deed: number;
  at: string;
  what: string;
  act: string;
  before: FieldRow[];
}

export interface PlaceRow {
  label: string;
  what: string;
  do: string;
  felt: boolean;
  gap_mm: number;
  nominal_mm: number;
}

export interface PlayInfo {
  part: string;
  side_mm: number;
  tip_deg: number;
  turn_deg: number;
  side_open: boolean;
  tip_open: boolean;
  turn_open: boolean;
}

export interface Pose {
  config: number[];
  up: number;
  tools: number[];
  words: string;
}

export interface Preference {
  name: string;
}

export interface PrinterRow {
  name: string;
  setting: boolean;
  preferred: boolean;
  with: string;
  growth: string;
  grade: string;
  from: string;
  readings: number;
  left: number;
  learnt: Figure | null;
  words: string;
}

export interface PrinterSetting {
  name: string;
  with: string;
  growth: WireRange;
}

export interface Printers {
  file: string;
  printers: PrinterRow[];
}

export interface PrintingInfo {
  setting: string;
  complete: boolean;
  grams: number;
  metres: number;
  minutes: number;
  minutes_by_model: number;
  parts: PrintingPart[];
}

export interface PrintingPart {
  part: string;
  as_drawn: WayUpInfo;
  better: WayUpInfo | null;
  why: string[];
  walls: WallsInfo;
  compared?: WayUpInfo[];
  spare?: SpareInfo[];
}

export interface Problem {
  file: string;
  line: number;
  col: number;
  message: string;
  advice: string;
}

export interface Proof {
  id: string;
  stage: string;
  document: WireDocument;
  steps: Figure | null;
  way: Shown[];
  from: Pose;
  grams: number;
  on: string;
  kept: boolean;
  partial: boolean;
  asked: boolean;
}

export interface ProofAsked {
  tab: string;
  design: string;
  set: ParamValue[];
  growth: WireRange;
  on: string;
  drawing: boolean;
}

export interface Pull {
  stage: string;
  config: number[];
  up?: number;
  tools?: number[];
  growth_mm: number;
  want: Want[];
  hold?: boolean;
}

export interface Pulled {
  config: number[];
  up: number;
  tools: number[];
  frames: Pose[];
  runs: Run[];
  halts: Halt[];
  effects: Effect[];
  released: boolean;
  goal: boolean;
  words: string;
}

export interface PushInfo {
  at: number;
  push: SpanInfo;
}

export interface PusherInfo {
  pusher: string;
  pushed: string;
  unit: string;
  dead_travel: number;
  gets_to: number;
  needs: number | null;
  short_by: number;
}

export interface ReadingGiven {
  kind: string;
  feature: string;
  nominal_mm: number | null;
  gap_mm: number | null;
  measured_mm: number | null;
  uncertainty_mm: number | null;
  felt: string;
}

export interface ReadingRow {
  id: number;
  trial: number;
  words: string;
}

export interface ReadingsGiven {
  gauge: string;
  printer: string;
  nozzle: string;
  spool: string;
  profile: string;
  set: ParamValue[];
  readings: ReadingGiven[];
}

export interface RecordSet {
  set: string[];
}

export interface ResetInfo {
  possible: string;
  moves: number | null;
}

export interface RevisionKept {
  number: number;
  new: boolean;
}

export interface RevisionRow {
  id: number;
  number: number;
  depth: number;
  parent: number;
  at: string;
  question: string;
  words: string;
  note: string;
  here: boolean;
  photos: number[];
}

export interface Room {
  travel: number;
  lo: Halt;
  hi: Halt;
  turns: boolean;
  words: string;
}

export interface Rooms {
  part: number;
  rooms: Room[];
}

export interface Run {
  travel: number;
  from: number;
  to: number;
}

export interface Save {
  text: string;
  sha256: string;
}

export interface SetInText {
  text: string;
  set: ParamValue[];
}

export interface Setting {
  part: string;
  travel: string;
  value: number;
  unit: string;
}

export interface Share {
  count: number;
  of: number;
  share: number;
  lo: number;
  hi: number;
}

export interface SheetArm {
  letter: string;
  leaves: string;
  ends: string;
}

export interface SheetCorner {
  n: number;
  along: string;
  round: string;
}

export interface SheetPaper {
  title: string;
  words: string;
  svg: string;
  along: string;
  round: string;
  corners: SheetCorner[];
  arms: SheetArm[];
  shortcuts: SheetShort[];
}

export interface SheetShort {
  name: string;
  step: string;
  growth: string;
  corners: string;
}

export interface ShiftInfo {
  travel: string;
  from: number;
  to: number;
  unit: string;
  undoes_move: number;
}

export interface ShortcutInfo {
  growth_mm: number;
  moves: number;
  strokes: number;
  solution: MoveInfo[];
}

export interface Shown {
  kind: string;
  part: number;
  words: string[];
  frames: Pose[];
}

export interface SideInfo {
  outwards: [number, number, number];
  depth_mm: number;
}

export interface SolveGiven {
  who: string;
  gave_up: boolean;
  minutes: number | null;
  hints: number;
  moves: number;
  shown: boolean;
  set: ParamValue[];
}

export interface SolveRow {
  id: number;
  at: string;
  revision: number;
  words: string;
}

export interface SpaceInfo {
  travels: number;
  configurations: number;
  free: number;
  free_upper: number;
  reachable: number;
  reachable_upper: number;
  resolution: string;
  nodes: number;
}

export interface SpanInfo {
  lo: number | null;
  hi: number | null;
}

export interface SpareInfo {
  at_mm: [number, number, number];
  volume_mm3: number;
  grams: number;
  minutes: number;
  open: string;
  sides?: SideInfo[];
}

export interface Spot {
  stage: string;
  config: number[];
  up?: number;
  tools?: number[];
  part: number;
  growth_mm: number;
}

export interface Stage {
  id: string;
  design: string;
  title: string;
  note: string;
  revision: string;
  sha256: string;
  params: Param[];
  parts: Part[];
  travels: Travel[];
  start: number[];
  goal: string;
  goal_at: Bound[];
  directed: boolean;
  ups: Attitude[];
  tools: Tool[];
  box_mm: [[number, number, number], [number, number, number]];
  opening: Opening;
  grams: number;
}

export interface StandInfo {
  travel: string;
  at: number;
  unit: string;
}

export interface StandingInfo {
  check: number;
  rule: string;
  parts: string[];
  wanted: string;
  answer: string;
  why: string;
  fault: string;
}

export interface Started {
  proof: string;
}

export interface StepInfo {
  name: string;
  unavoidable: boolean | null;
  bypass_growth_mm: number | null;
  bypass_growth_with_play_mm: number | null;
  bypass: LimitInfo | null;
  holds_down_to_mm: number | null;
  shortcut: ShortcutInfo | null;
}

export interface Stood {
  check: number;
  deed: number;
  words: string[];
}

export interface StretchInfo {
  way: [number, number, number] | null;
  far_mm: number;
  axis: [number, number, number] | null;
  axis_through_mm: [number, number, number] | null;
  angle_deg: number;
}

export interface StrokeInfo {
  part?: string;
  travel: string;
  from: number;
  to: number;
  unit: string;
  mark: string | null;
}

export interface Taken {
  stage: string;
  config: number[];
  up?: number;
  tools?: number[];
  part: number;
  growth_mm: number;
  tool: number;
  seat: number;
}

export interface TextOnly {
  text: string;
}

export interface ThenInfo {
  travel: string;
  from: number;
  unit: string;
}

export interface TightestInfo {
  parts: string[];
  at: Setting[];
  clearance_mm: number;
}

export interface Tool {
  name: string;
  seats: number[];
}

export interface Travel {
  name: string;
  part: number;
  kind: string;
  unit: string;
  point_mm: [number, number, number];
  dir: [number, number, number];
  lead_mm: number;
  lo: number;
  hi: number;
  full_turn: boolean;
  forward: string;
  backward: string;
  moved: string;
  springs: boolean;
}

export interface TravelInfo {
  name: string;
  kind: string;
  unit: string;
  lo: number | null;
  hi: number | null;
  full_turn: boolean;
}

export interface TrialRow {
  id: number;
  at: string;
  revision: number;
  with: string;
  outcome: string;
  minutes: number | null;
  grams: number | null;
  words: string;
  photos: number[];
}

export interface TriedInfo {
  configurations: number;
  stances: number;
  bounded: boolean;
}

export interface Trouble {
  code: string;
  message: string;
  problems: Problem[];
  text?: string;
  sha256?: string;
}

export interface Turned {
  stage: string;
  config: number[];
  up?: number;
  tools?: number[];
  part: number;
  growth_mm: number;
  to: number;
}

export interface Two {
  before: string;
  after: string;
  on: string;
}

export interface UnnamedInfo {
  part: string;
  travel: string;
  value: number;
  unit: string;
  or_more: boolean;
}

export interface Views {
  partial: boolean;
  frames: Frame[];
  sheets: SheetPaper[];
  scale: Figure | null;
  charts: (Figure | null)[];
}

export interface WallInfo {
  at_mm: [number, number, number];
  thickness_mm: number;
}

export interface WallsInfo {
  bands_mm: [number, number, number, number];
  shares: [number, number, number, number, number];
  thinnest: WallInfo[];
  webs: WebInfo[];
}

export interface Want {
  travel: number;
  value: number;
}

export interface WayUpInfo {
  name: string;
  words: string;
  down: [number, number, number];
  size_mm: [number, number, number];
  fits_bed: boolean;
  stands: boolean;
  on_plate_mm2: number;
  overhang_mm2: number;
  longest_bridge_mm: number;
  support_mm3: number;
  support_in_slide_mm2: number;
  grams: number;
  metres: number;
  minutes: number;
  support_grams: number;
  support_minutes: number;
  layers: number;
}

export interface WebInfo {
  at_mm: [number, number, number];
  thickness_mm: number;
  height_mm: number | null;
  length_mm: number;
  others: string[];
}

export interface WhereInfo {
  parts: string[];
  step: string | null;
  at_mm: [number, number, number] | null;
  configuration: Setting[];
  params: string[];
}

export interface WireDocument {
  format: string;
  format_version: number;
  feint_version: string;
  design: DesignInfo;
  design_sha256: string;
  params: ParamInfo[];
  parts: PartInfo[];
  growth_asked: GrowthRange;
  flare_mm: number | null;
  verdict: string;
  certified: boolean;
  exit_status: number;
  sentence: string;
  doubts: string[];
  goal: string;
  moves: number | null;
  moves_least: number | null;
  strokes: number | null;
  start: Setting[];
  solution: MoveInfo[];
  openings: OpeningInfo[];
  steps: StepInfo[];
  unnamed_steps: UnnamedInfo[];
  idle_parts: string[];
  fit: FitInfo;
  play: PlayInfo[];
  reset: ResetInfo;
  space: SpaceInfo;
  checks: CheckInfo[];
  findings: FindingInfo[];
  handling: HandlingInfo | null;
  printing: PrintingInfo | null;
  expected: ExpectedInfo | null;
  standing?: StandingInfo[];
  seconds: Record<string, number>;
}

export interface WireEvent {
  kind: string;
  proof?: string;
  stage?: Stage;
  result?: Proof;
  step?: string;
  done?: number;
  total?: number;
  trouble?: Trouble;
  file?: FileSeen;
  start?: string;
}

export interface WireRange {
  lo_mm: number;
  hi_mm: number;
}

export interface WireRecord {
  kind: string;
  id: number;
  fields: FieldRow[];
  past: PastRow[];
}

export interface WireText {
  design: string;
  text: string;
  sha256: string;
}

export interface Workshop {
  there: boolean;
  help: string;
  printers: string[];
  nozzles: string[];
  spools: string[];
  profiles: string[];
  outcomes: string[];
  features: string[];
  felts: string[];
  bounds: string[];
  trials: TrialRow[];
  readings: ReadingRow[];
  solves: SolveRow[];
  revisions: RevisionRow[];
  faults: FaultRow[];
  checks: CheckRow[];
}

export interface Yield {
  on: string;
  works: number;
  lo: number;
  hi: number;
  figure: Figure;
}

export interface YieldAsked {
  tab: string;
  proof: string;
  on: string;
}

export interface YieldCause {
  parts: string[];
  alone: boolean;
  count: number;
  mean_change_mm: number;
  most_change_mm: number;
}

export interface YieldCorner {
  name: string;
  fate: string;
  whichever_face_decides: string;
}

export interface YieldDocument {
  format: string;
  format_version: number;
  feint_version: string;
  design: string;
  design_sha256: string;
  setting: string;
  source: string;
  seed: number;
  prints: number;
  directed: boolean;
  level: number;
  works: Share;
  binds: Share;
  leaks: Share;
  undecided: number;
  undecided_loose: number;
  play_leaks: Share;
  whichever_face_decides: YieldSurely;
  steps: YieldStep[];
  binds_by: YieldCause[];
  leaks_by: YieldCause[];
  corners: YieldCorner[];
  scales: YieldScales;
  tries?: YieldTry[];
}

export interface YieldScales {
  works: boolean;
  lo: number;
  hi: number;
  below: string;
  above: string;
  search_ended_lo: boolean;
  search_ended_hi: boolean;
  why: string;
}

export interface YieldStep {
  name: string;
  avoidable: Share;
}

export interface YieldSurely {
  works: Share;
  binds: Share;
  leaks: Share;
}

export interface YieldTry {
  param: string;
  from: number;
  to: number;
  works: Share;
  won: number;
  why?: string;
}

