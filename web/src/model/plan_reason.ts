/** Why the plan is not safe: what a reader of its verdict asks next. */
import { deciding } from "./bench_rows";
import { current, type State } from "./state";
import type { Finding, Verdict } from "./answers";

export interface Reason {
    verdict: Verdict;
    /** The link that decides; null: it is a matter of rails and parts. */
    link: string | null;
    finding: Finding | null;
}

/** The verdict of the plan, which stands beside that of the bench unless the file has its own wiring; null: none. */
export function plan_verdict(s: State): Verdict | null {
    const planned = s.check.value?.wiring_from !== "given" && s.plan.value?.accepted && current(s, s.plan);
    return planned ? s.plan.value!.judgement.verdict : null;
}

/** What decides the verdict of the plan; null: it is safe, or there is none. */
export function plan_reason(s: State): Reason | null {
    const verdict = plan_verdict(s);
    if (verdict === null || verdict === "safe") return null;
    const { findings, links, shared } = s.plan.value!.judgement;
    const link = links.find((l) => l.verdict === verdict);
    const finding = link
        ? deciding(findings, link)
        : shared.map((i) => findings[i]!).find((f) => f.verdict === verdict);
    return { verdict, link: link?.link ?? null, finding: finding ?? null };
}
