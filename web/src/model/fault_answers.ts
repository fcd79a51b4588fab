/** What the server answers about a build with a fault. */
import type { Place, Refusable } from "./answers";

export type Means = "eye" | "ohmmeter" | "voltmeter" | "scope" | "behaviour";
/** A reading worth taking; the line of it is `before`, the answer, `after`. */
export interface NextReading {
    means: Means;
    words: string;
    how: string;
    why: string;
    bits: number;
    effort: number;
    line: { before: string; after: string };
    answers: string;
    /** Of a look: what it may show where it is not as planned, likeliest first. */
    sights: string[];
}
export interface Suspect {
    share: number;
    as_planned: boolean;
    may_harm: boolean;
    words: string;
    common: string | null;
    remedy: string;
    members: { words: string; remedy: string; share: number }[];
}
export interface DiodeTest {
    red: string;
    black: string;
    expected: string;
    dead: string;
}
/** What a harmful fault may have hurt, in the order in which to test it. */
export interface Damage {
    sentence: string;
    cautions: string[];
    parts: { words: string; why: string[]; tests: DiodeTest[]; discard: boolean; advice: string }[];
}
export interface GivenReading {
    words: string;
    place: Place | null;
    unexplained: boolean;
}
/** How often it is met, as reckoned with and as is usual; at how many places of this build. */
export interface FaultKind {
    key: string;
    words: string;
    weight: number;
    usual: number;
    faults: number;
}
export interface Diagnosis extends Refusable {
    not_placed: string | null;
    faults: number;
    pairs: number;
    pairs_left_out: number;
    readings: GivenReading[];
    readings_file: string;
    sentence: string;
    found: boolean;
    something_else: number;
    suspects: Suspect[];
    ruled_out: { reading: number | null; count: number; sentence: string }[];
    contradictions: { readings: number[]; sentence: string }[];
    next: NextReading[];
    power_may_harm: boolean;
    keep_off: string | null;
    /** `keep_off` without the cause: for who has not asked for it. */
    hints: { question: string; reading: string; cause: string; keep_off: string | null };
    /** Only after a fault that harms is likely. */
    damage?: Damage | null;
    askable: {
        points: { label: string; place: string | null }[];
        posts: { label: string; place: string | null }[];
        wires: number[];
        parts: string[];
        links: string[];
        kinds: FaultKind[];
    };
}
