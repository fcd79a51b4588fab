/** What the server answers about parts of the catalogue. */
import type { Figure, Origin, Quantity, Span } from "./answers";

export interface PartRow {
    name: string;
    title: string;
    what: string;
    supplies: string[];
    volts: string[];
    packages: string[];
}
/** What may stand after `like` in a pin of a part of one's own. */
export interface TraitRow {
    name: string;
    title: string;
}
export interface Found {
    rows: PartRow[];
    traits: TraitRow[];
}
/** A level that may follow a supply: ratio x supply + offset. */
export interface Level {
    ratio: number;
    offset: Quantity;
}
export interface LevelRow extends Origin {
    supply: Span;
    low?: Level;
    high?: Level;
    level?: Level;
    at?: Quantity;
    rising?: Span | Level | null;
    falling?: Span | Level | null;
}
export interface PartPin {
    name: string;
    role: string;
    supply: string | null;
    note?: string;
    max: Level | null;
    min: Level | null;
    limits_origin: Origin;
    thresholds?: LevelRow[];
    high?: LevelRow[];
    low?: LevelRow[];
    [figure: string]: unknown;
}
export interface PartSupply {
    name: string;
    range: Span;
    max: Quantity | null;
    min: Quantity | null;
    current: Figure;
    provides: Span | null;
    origin: Origin;
}
export interface PartType {
    name: string;
    title: string;
    kind: string;
    supplies: PartSupply[];
    pins: PartPin[];
    packages: { name: string; pins: string[] }[];
    rate_max: Quantity | null;
    supply_current_max: Figure | null;
    invented: boolean;
    note: string;
    origin: Origin;
}
export interface PartAnswer {
    part: PartType;
}
