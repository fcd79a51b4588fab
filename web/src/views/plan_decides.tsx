/** What decides the verdict of the plan, in a sentence. */
import { plan_reason } from "../model/plan_reason";
import { hash_of } from "../model/routes";
import type { State } from "../model/state";
import { Mark } from "./pieces";

export function PlanDecides({ s }: { s: State }) {
    const reason = plan_reason(s);
    if (!reason) return null;
    return (
        <p class="sentence plan-decides">
            With the plan: <Mark verdict={reason.verdict} />
            {reason.link !== null && (
                <>
                    {" "}
                    by <a href={hash_of({ view: "link", link: reason.link })}>{reason.link}</a>
                </>
            )}
            {reason.finding && `: ${reason.finding.sentence}`}{" "}
            {reason.link === null && reason.finding?.advice && <span class="soft">{reason.finding.advice}</span>}
        </p>
    );
}

/** For the head: to where the reason stands. */
export function PlanWhy({ s }: { s: State }) {
    const reason = plan_reason(s);
    if (!reason) return null;
    const { link } = reason;
    return (
        <a href={hash_of(link === null ? { view: "bench" } : { view: "link", link })}>
            Why<span class="unseen"> the plan is {reason.verdict}</span>
        </a>
    );
}
