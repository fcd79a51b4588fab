/// Static Analysis Results Interchange Format (SARIF) 2.1.0, OASIS Standard, 27 March 2020
/// (from memory; sections named where a choice rests on them).
///
/// Kinds and levels (3.27.9, 3.27.10): a verdict of safe is "pass", unknown is "open" (what is
/// needed to decide is missing), both with level "none" as 3.27.10 wants; the rest is "fail".
#include <algorithm>
#include <map>

#include "engine/finding_codes.h"
#include "engine/json_pieces.h"
#include "engine/places.h"

namespace voltsill {
namespace {

struct Mark {
    const char* kind;
    const char* level;
};

Mark mark_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::safe:
            return {"pass", "none"};
        case Verdict::thin:
            return {"fail", "warning"};
        case Verdict::unknown:
            return {"open", "none"};
        case Verdict::unreadable:
            return {"fail", "error"};
        case Verdict::harmful:
            return {"fail", "error"};
    }
    return {"open", "none"};
}

/// A path as a URI reference (3.4.3; RFC 3986, 3.3 and 4.2): everything but unreserved characters
/// and '/' is percent-encoded, a colon too, since the first segment must not look like a scheme.
std::string uri_of(std::string_view path) {
    constexpr std::string_view plain = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string out = path.starts_with("//") ? "/." : "";
    for (const char c : path) {
        const auto byte = static_cast<unsigned char>(c);
        if (plain.find(c) != plain.npos)
            out += c;
        else
            out += {'%', digits[byte >> 4], digits[byte & 15]};
    }
    return out;
}

/// 3.28; a region only with a line (3.30.5: lines start at 1).
Json location_json(const Place& place, const std::string& name) {
    Json out = Json::object();
    if (!place.file.empty()) {
        Json& physical = out["physicalLocation"];
        physical["artifactLocation"]["uri"] = uri_of(place.file);
        if (place.line > 0) {
            Json& region = physical["region"];
            region["startLine"] = place.line;
            if (place.column > 0) {
                region["startColumn"] = place.column;
                region["endColumn"] = place.column + std::max(place.width, 1);  // just past the end, 3.30.8
            }
        }
    }
    if (!name.empty()) out["logicalLocations"] = Json::array({{{"fullyQualifiedName", name}}});
    return out;
}

/// The rules in use, and where each is in the list.
struct Rules {
    Json list = Json::array();
    std::map<std::string, int, std::less<>> index;

    int of(const std::string& code, std::string_view meaning) {
        const auto [at, fresh] = index.emplace(code, static_cast<int>(list.size()));
        if (fresh) list.push_back({{"id", code}, {"shortDescription", {{"text", meaning}}}});
        return at->second;
    }
};

Json result_json(const std::string& code, int rule, Mark mark, const std::string& message, Json location) {
    Json out = {{"ruleId", code}, {"ruleIndex", rule}, {"kind", mark.kind}, {"level", mark.level}};
    out["message"]["text"] = message;
    if (!location.empty()) out["locations"] = Json::array({std::move(location)});
    return out;
}

std::string sentences(std::initializer_list<std::string_view> parts) {
    std::string out;
    for (const std::string_view part : parts)
        if (!part.empty()) out.append(out.empty() ? "" : "\n").append(part);
    return out;
}

Json problem_result(const Problem& p, Rules& rules) {
    const Mark mark{"fail", p.severity == Severity::error ? "error" : "warning"};
    const std::string expected = p.expected.empty() ? "" : "Expected: " + p.expected;
    const std::string nearest = p.nearest.empty() ? "" : "Nearest: " + p.nearest;
    const int rule = rules.of("input/" + p.code, "A mistake in the bench file.");
    Json out = result_json("input/" + p.code, rule, mark, sentences({p.message, expected, nearest}),
                           location_json(p.place, ""));
    if (p.other.line > 0) out["relatedLocations"] = Json::array({location_json(p.other, "")});
    return out;
}

std::string name_of(const Finding& f) {
    if (!f.part.empty()) return f.pin.empty() ? f.part : f.part + "." + f.pin;
    return f.link.empty() ? f.net : f.link;
}

std::string_view meaning_of(std::string_view code) {
    for (const FindingCode& known : finding_codes())
        if (known.code == code) return known.meaning;
    return "A finding of the judge.";
}

Json finding_result(const Finding& f, const Bench& bench, Rules& rules) {
    const std::string state = f.state.empty() ? "" : "State: " + f.state;
    const std::string corner = f.corner.empty() ? "" : "Worst at: " + f.corner;
    Json out = result_json(f.code, rules.of(f.code, meaning_of(f.code)), mark_of(f.verdict),
                           sentences({f.sentence, f.arithmetic, state, corner, f.advice}),
                           location_json(place_of(f, bench), name_of(f)));
    // 3.27.17: the same finding in the next commit, whatever its number has become.
    out["partialFingerprints"]["finding/v1"] =
        f.code + "|" + f.link + "|" + f.part + "|" + f.pin + "|" + f.state.substr(0, f.state.find(';'));
    out["properties"] = {{"verdict", to_word(f.verdict)}, {"link", f.link}};
    return out;
}

}  // namespace

std::string to_sarif(const CheckResult& result, std::string_view tool_version) {
    Rules rules;
    Json results = Json::array();
    for (const Problem& p : result.problems) results.push_back(problem_result(p, rules));
    if (result.bench)
        for (const Finding& f : result.judgement.findings)
            results.push_back(finding_result(f, *result.bench, rules));
    Json run;
    Json& driver = run["tool"]["driver"];
    driver["name"] = "Voltsill";
    driver["version"] = tool_version;
    driver["rules"] = std::move(rules.list);
    run["invocations"] = Json::array({{{"executionSuccessful", result.bench.has_value()}}});
    run["columnKind"] = "unicodeCodePoints";
    run["results"] = std::move(results);
    Json out = {
        {"$schema",
         "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"},
        {"version", "2.1.0"}};
    out["runs"] = Json::array({std::move(run)});
    return written(out);
}

}  // namespace voltsill
