/** Merging by lines: what I have, what lies on the disk now, and what both came from. */
import { diff3Merge } from "node-diff3";

export type Choice = "mine" | "theirs" | "both";
export type Region =
    | { kind: "same"; lines: string[] }
    | { kind: "conflict"; mine: string[]; theirs: string[]; base: string[]; choice: Choice | null };

export function merge(mine: string, base: string, theirs: string): Region[] {
    const lines = (text: string) => text.split("\n");
    return diff3Merge(lines(mine), lines(base), lines(theirs), { excludeFalseConflicts: true }).map((part): Region =>
        part.conflict
            ? { kind: "conflict", mine: part.conflict.a, theirs: part.conflict.b, base: part.conflict.o, choice: null }
            : { kind: "same", lines: part.ok ?? [] },
    );
}

export const open_conflicts = (regions: Region[]): number =>
    regions.filter((r) => r.kind === "conflict" && r.choice === null).length;

function chosen(region: Region): string[] {
    if (region.kind === "same") return region.lines;
    if (region.choice === "theirs") return region.theirs;
    return region.choice === "both" ? [...region.mine, ...region.theirs] : region.mine;
}

/** The text as chosen; an open conflict counts as mine. */
export const merged = (regions: Region[]): string => regions.flatMap(chosen).join("\n");

export function choose(regions: Region[], at: number, choice: Choice): Region[] {
    return regions.map((r, i) => (i === at && r.kind === "conflict" ? { ...r, choice } : r));
}
