/** What axe finds on a page by WCAG 2.0 to 2.2, levels A and AA, and its best practice. */
import axe from "axe-core";
import type { Page } from "playwright-core";

export async function violations(page: Page): Promise<string[]> {
    await page.evaluate(axe.source);
    const text = await page.evaluate(async () => {
        const { violations } = await (window as unknown as { axe: typeof axe }).axe.run(document, {
            runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
            iframes: false,
        });
        return JSON.stringify(
            violations.map(
                (v) =>
                    `${v.id}: ${v.nodes
                        .slice(0, 4)
                        .map((n) => n.target.join(" "))
                        .join(" | ")} (${v.nodes[0]!.failureSummary?.slice(0, 300)})`,
            ),
        );
    });
    return JSON.parse(text) as string[];
}

/** Pixels by which a page is wider than its window. */
export const too_wide = (page: Page) =>
    page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
