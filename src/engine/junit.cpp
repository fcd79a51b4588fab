/// A JUnit report: testsuite, testcase, failure, error and system-out as build servers read them
/// (common practice, no standard). XML 1.0, fifth edition, for what a document may hold.
#include <fmt/format.h>
#include <utf8proc.h>

#include <algorithm>

#include "engine/engine.h"

namespace voltsill {
namespace {

/// XML 1.0, production 2 (Char).
bool may_stand(utf8proc_int32_t c) {
    return c == 0x9 || c == 0xA || c == 0xD || (c >= 0x20 && c <= 0xD7FF) || (c >= 0xE000 && c <= 0xFFFD) ||
           c >= 0x10000;
}

/// For attributes and contents; what may not stand in XML becomes U+FFFD.
std::string xml(std::string_view text) {
    std::string out;
    while (!text.empty()) {
        utf8proc_int32_t c = 0;
        const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                             static_cast<utf8proc_ssize_t>(text.size()), &c);
        const size_t used = length > 0 ? static_cast<size_t>(length) : 1;
        if (length <= 0 || !may_stand(c))
            out += "\uFFFD";
        else if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else if (c == '\n' || c == '\r' || c == '\t')
            out += fmt::format("&#{};", c);  // attributes fold them
        else
            out += text.substr(0, used);
        text.remove_prefix(used);
    }
    return out;
}

struct Report {
    std::string cases;
    int tests = 0, failures = 0, errors = 0;

    void add(const std::string& name, Verdict verdict, const std::string& reason, const std::string& detail) {
        ++tests;
        cases += fmt::format("    <testcase name=\"{}\" classname=\"voltsill.check\"", xml(name));
        if (verdict > Verdict::thin) {
            ++failures;
            cases +=
                fmt::format(">\n      <failure type=\"{}\" message=\"{}\">{}</failure>\n    </testcase>\n",
                            to_word(verdict), xml(reason), xml(detail));
        } else if (!detail.empty()) {
            cases += fmt::format(">\n      <system-out>{}</system-out>\n    </testcase>\n", xml(detail));
        } else {
            cases += "/>\n";
        }
    }

    void refuse(const std::string& reason, const std::string& detail) {
        ++tests;
        ++errors;
        cases += fmt::format(
            "    <testcase name=\"bench file\" classname=\"voltsill.check\">\n"
            "      <error type=\"refused\" message=\"{}\">{}</error>\n    </testcase>\n",
            xml(reason), xml(detail));
    }
};

/// The findings that are not safe, worst first.
void add_case(Report& report, const std::string& name, const std::vector<Finding>& all,
              const std::vector<int>& mine) {
    Verdict verdict = Verdict::safe;
    std::string detail, reason;
    for (const int index : mine) {
        const Finding& f = all[index];
        if (f.verdict == Verdict::safe) continue;
        if (reason.empty()) reason = f.sentence;
        verdict = worse(verdict, f.verdict);
        detail += fmt::format("{}: {}: {}\n  {}\n  {}\n", to_word(f.verdict), f.code, f.sentence,
                              f.arithmetic, f.state);
    }
    report.add(name, verdict, reason, detail);
}

std::string rendered(const Problems& problems) {
    std::string out;
    for (const Problem& problem : problems) out += render(problem) + "\n";
    return out;
}

}  // namespace

std::string to_junit(const CheckResult& result) {
    Report report;
    if (result.bench) {
        const Judgement& judgement = result.judgement;
        for (const LinkJudgement& link : judgement.links)
            add_case(report, "link " + link.link, judgement.findings, link.findings);
        add_case(report, "parts and rails", judgement.findings, judgement.shared);
        if (!judgement.trouble.empty())
            report.add("solution", Verdict::unknown, "A network did not converge.", judgement.trouble);
    } else {
        const auto error = std::ranges::find(result.problems, Severity::error, &Problem::severity);
        report.refuse(error == result.problems.end() ? "" : error->message, rendered(result.problems));
    }
    const std::string counts = fmt::format("tests=\"{}\" failures=\"{}\" errors=\"{}\"", report.tests,
                                           report.failures, report.errors);
    std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
    out += fmt::format("<testsuites {}>\n", counts);
    out += fmt::format("  <testsuite name=\"{}\" {} skipped=\"0\">\n{}",
                       xml(result.bench ? result.bench->title : ""), counts, report.cases);
    if (result.bench && !result.problems.empty())
        out += fmt::format("    <system-out>{}</system-out>\n", xml(rendered(result.problems)));
    return out + "  </testsuite>\n</testsuites>\n";
}

}  // namespace voltsill
