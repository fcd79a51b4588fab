/** The verdict of the bench in words. */
import { plan_verdict } from "../model/plan_reason";
import type { State } from "../model/state";
import { count, signs } from "../model/words";

/** What a reader who does not see the page is told when verdicts change. */
export function spoken(s: State): string {
    if (!s.check.value) return "";
    if (s.check.value.problems.some((p) => p.code === "empty-bench")) return "Nothing on this bench yet.";
    if (!s.check.value.accepted) return "The text cannot be read yet.";
    const { judgement } = s.check.value;
    if (judgement.links.length === 0 && judgement.verdict === "safe") return "Nothing is joined yet.";
    const bad = judgement.links.filter((l) => l.verdict !== "safe");
    const of_links =
        bad.length === 0 ? "all links safe" : `${bad.length} of ${count(judgement.links.length, "link")} not safe`;
    const how_many = judgement.links.length === 0 ? "nothing is joined yet" : of_links;
    const said = `${signs[judgement.verdict]} ${judgement.verdict}: ${how_many}`;
    // Who builds by the plan must not take the verdict on pins that are joined as they are for that on the build.
    const plan = plan_verdict(s);
    return plan === null ? said : `Joined directly: ${said}. With the plan: ${signs[plan]} ${plan}.`;
}
