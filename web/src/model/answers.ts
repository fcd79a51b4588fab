/** What the server answers: the parts of docs/result.schema.json and docs/openapi.json that the page reads. */
export type Verdict = "safe" | "thin" | "unknown" | "unreadable" | "harmful";

export interface Quantity {
    value: number | null;
    unit: string;
}
export interface Span {
    lo: number | null;
    nominal: number | null;
    hi: number | null;
    unit: string;
}
export interface Origin {
    certainty: string;
    source: string;
    from_memory: boolean;
}
export interface Figure extends Span, Origin {}
export interface Evidence extends Quantity, Origin {
    what: string;
}

/** Line and column from 1, columns in Unicode code points. */
export interface Place {
    file: string;
    line: number;
    column: number;
    width: number;
}
export interface Problem {
    severity?: "error" | "warning";
    code: string;
    file?: string;
    place?: Place | null;
    message: string;
    expected?: string;
    nearest?: string | null;
}
export interface Refusable {
    accepted: boolean;
    problems: Problem[];
}

export interface Pin {
    part: string;
    pin: string;
}
export interface Rail {
    name: string;
    volts: Figure;
    limit: Quantity | null;
    from: string | null;
    switch: string | null;
    place: Place;
}
export interface BenchPart {
    name: string;
    type: string;
    package: string | null;
    supplies: { port: string; rail: string | null }[];
    place: Place;
}
export interface Link {
    name: string;
    kind: string;
    from: Pin[];
    to: Pin[];
    rate: Quantity | null;
    bus: string | null;
    group: string | null;
    interface: string | null;
    place: Place;
}
export interface Bench {
    title: string;
    ambient: Span;
    rails: Rail[];
    parts: BenchPart[];
    links: Link[];
}

export interface Finding {
    code: string;
    verdict: Verdict;
    link: string | null;
    part: string | null;
    pin: string | null;
    value: Evidence | null;
    limit: Evidence | null;
    margin: Quantity | null;
    state: string;
    corner: string;
    sentence: string;
    arithmetic: string;
    advice: string;
}
export interface JudgedLink {
    link: string;
    verdict: Verdict;
    findings: number[];
    high_margin: Quantity | null;
    low_margin: Quantity | null;
}
export interface Judgement {
    verdict: Verdict;
    findings: Finding[];
    links: JudgedLink[];
    shared: number[];
    states_solved: number;
    trouble: string;
}

export interface WiredPin {
    pin: string;
    numbers: number[];
    net: string | null;
}
export interface WiredPart {
    name: string;
    type: string;
    package: string | null;
    added: boolean;
    purpose: string;
    for_link: string | null;
    pins: WiredPin[];
}
export interface Wiring {
    direct: boolean;
    parts: WiredPart[];
    parts_list: { what: string; count: number; spares: number; names: string[] }[];
}

export interface Check extends Refusable {
    wiring_from: string;
    bench: Bench;
    wiring: Wiring;
    judgement: Judgement;
}

export interface Candidate {
    circuit: string;
    title: string;
    /** Type of its integrated circuit; null: of single parts. */
    part: string | null;
    verdict: Verdict;
    high_margin: Quantity | null;
    low_margin: Quantity | null;
    parts: number;
    price: number;
    in_stock: boolean;
    inverted: boolean;
    /** Built and judged; false: refused before that. */
    wired: boolean;
    /** A bench file may ask for it. */
    choosable: boolean;
    why_not: string;
    how_sized: string;
    cautions: string[];
}
export interface Plan extends Refusable {
    links: { link: string; chosen: Candidate | null; rejected: Candidate[] }[];
    wiring: Wiring;
    judgement: Judgement;
    notes: string[];
}

export interface PackagePicture {
    part: string;
    words: string;
    svg: string;
}
export interface Drawings extends Refusable {
    wiring_from: string;
    rail_map: string;
    links: { link: string; before: string | null; after: string | null; circuit: string | null }[];
    packages: PackagePicture[];
}

export interface LaidWire {
    number: number;
    from: string;
    to: string;
    net: string;
    use: string;
    colour: string | null;
    length: number | null;
    reason: string;
}
export interface BuildPhase {
    title: string;
    link: string | null;
    check: string | null;
    steps: { wire: number | null; part: string | null; text: string; more: string }[];
}
export interface Build extends Refusable {
    sheets: { wires: LaidWire[]; phases: BuildPhase[]; not_placed: string | null; unwired: string[] };
    boards: string[];
    key: string;
    /** With the channels that these boards use. */
    packages: PackagePicture[];
}

export interface Measure {
    measure: string;
    at: string | null;
    nominal: Quantity | null;
    lowest: Quantity | null;
    highest: Quantity | null;
    limit: (Quantity & { is: "maximum" | "minimum" }) | null;
    verdict: Verdict | null;
    counted: number;
    yield_lo: number | null;
    yield_hi: number | null;
}
export interface LinkTrace {
    link: string;
    verdict: Verdict;
    rate: Quantity;
    samples: number;
    asked: number;
    trouble: string;
    worst_by: string;
    leans_on: string[];
    measures: Measure[];
}
export interface TraceStep extends Refusable {
    trace: { traces: LinkTrace[] };
    svg: Record<string, string>;
    samples: number;
    final: boolean;
}

export interface SheetPages extends Refusable {
    documents: { name: string; title: string; html: string }[];
    script: string;
}

export interface BenchFile {
    path: string | null;
    text: string;
    version: string;
}
export interface FileRow {
    path: string;
    title: string;
    size: number;
    version: string;
}
export interface About {
    version: string;
    folder: string;
    open: string | null;
    paper: string;
    circuits: { name: string; title: string }[];
    examples: { name: string; title: string; about: string }[];
    boards: string[];
}

/** One change of the bench text; the server writes it and keeps comments and order. */
export type Edit =
    | { do: "set"; path: string[]; value: unknown }
    | { do: "remove"; path: string[] }
    | { do: "add-rail" | "add-part"; name: string; entries: Record<string, unknown> }
    | { do: "add-link"; entries: Record<string, unknown> }
    | { do: "choose"; link: string; circuit: string | null }
    | { do: "rename"; kind: "rail" | "part" | "link"; from: string; to: string }
    | { do: "take-plan" }
    | { do: "drop-wiring" };
