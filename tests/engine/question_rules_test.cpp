/// What QTI 2.1 and content packaging say of values and references, beyond the grammar of question_package_test.cpp:
/// each rule holds for every package that is made, and is broken by one change to it.
///
/// The rules are those of the IMS QTI Assessment Test, Section and Item Information Model 2.1 (2012; AIM below) and of
/// IMS Content Packaging Information Model 1.1.4 (2004; CP below), section titles and all from memory: the published
/// schemas are not to be had from any source this project draws on.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <charconv>
#include <iterator>
#include <regex>
#include <set>

#include "engine/question_package.h"
#include "qti_xml.h"

namespace voltsill {
namespace {
using test::class_of_three;
using test::Xml;
using Files = std::vector<std::pair<std::string, std::string>>;
using XmlValues = std::vector<std::string>;

bool all_different(const XmlValues& words) {
    return std::set<std::string>(words.begin(), words.end()).size() == words.size();
}
bool is_number(const std::string& text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && end == text.data() + text.size();
}
/// AIM, "identifier": a letter or underscore, then letters, digits, hyphens, underscores; for exchange at most 32.
bool is_identifier(const std::string& text) {
    static const std::regex form("[A-Za-z_][A-Za-z0-9_-]{0,31}");
    return std::regex_match(text, form);
}
XmlValues split(const std::string& text) {
    std::istringstream in(text);
    return {std::istream_iterator<std::string>(in), {}};
}

struct PackageCheck {
    const Files& files;
    std::set<std::string> broken;
    void want(bool kept, const std::string& rule) {
        if (!kept) broken.insert(rule);
    }
    const std::string* bytes_of(const std::string& path) const {
        const auto at = std::ranges::find(files, path, &Files::value_type::first);
        return at == files.end() ? nullptr : &at->second;
    }

    void item(const Xml& x) {
        const XmlValues declared = x.values("//q:responseDeclaration/@identifier"),
                        bound = x.values("//@responseIdentifier");
        want(is_identifier(x.values("/q:assessmentItem/@identifier").at(0)), "AIM identifier: form");
        want(all_different(declared) && declared == bound, "AIM responseDeclaration: bound to one interaction each");
        const std::string type = x.values("//q:responseDeclaration/@baseType").at(0);
        const XmlValues right = x.values("//q:correctResponse/q:value"),
                        choices = x.values("//q:simpleChoice/@identifier");
        want(right.size() == 1, "AIM correctResponse: one value where the cardinality is single");
        if (x.values("//q:choiceInteraction/@maxChoices").empty()) {
            want(type == "float" || type == "integer" || type == "string", "AIM textEntryInteraction: base type");
            want(type != "float" || is_number(right.at(0)), "AIM baseType float: value");
        } else {
            want(type == "identifier", "AIM choiceInteraction: base type");
            want(x.values("//q:choiceInteraction/@maxChoices").at(0) == "1",
                 "AIM choiceInteraction: single cardinality is one choice");
            want(all_different(choices) && std::ranges::all_of(choices, is_identifier),
                 "AIM simpleChoice: identifiers");
            want(std::ranges::find(choices, right.at(0)) != choices.end(), "AIM correctResponse: among the choices");
        }
        processing(x, declared);
    }

    void processing(const Xml& x, const XmlValues& responses) {
        const XmlValues outcomes = x.values("//q:outcomeDeclaration/@identifier");
        want(all_different(outcomes), "AIM outcomeDeclaration: identifiers");
        const auto known = [](const XmlValues& of, const std::string& name) {
            return std::ranges::find(of, name) != of.end();
        };
        if (!x.values("//q:responseProcessing/@template").empty())  // the standard template match_correct
            want(known(responses, "RESPONSE") && known(outcomes, "SCORE"),
                 "AIM response processing template: RESPONSE and SCORE");
        for (const std::string& name : x.values("//q:variable/@identifier"))
            want(known(responses, name) || known(outcomes, name), "AIM variable: declared");
        for (const std::string& name : x.values("//q:correct/@identifier"))
            want(known(responses, name), "AIM correct: declared");
        for (const std::string& name : x.values("//q:setOutcomeValue/@identifier"))
            want(known(outcomes, name), "AIM setOutcomeValue: declared");
        for (const std::string& tolerance : x.values("//q:equal/@tolerance")) {
            const XmlValues bounds = split(tolerance);
            want(!bounds.empty() && bounds.size() <= 2 && std::ranges::all_of(bounds, [](const std::string& b) {
                return is_number(b) && b[0] != '-';
            }), "AIM equal: tolerance");
        }
    }

    void test(const Xml& x, const std::string& folder, const Xml& manifest, const std::string& resource) {
        const XmlValues refs = x.values("//q:assessmentItemRef/@identifier"),
                        hrefs = x.values("//q:assessmentItemRef/@href");
        XmlValues names = refs;
        for (const char* part : {"//q:testPart/@identifier", "//q:assessmentSection/@identifier"})
            for (std::string& name : x.values(part)) names.push_back(std::move(name));
        want(all_different(names) && std::ranges::all_of(names, is_identifier), "AIM assessmentTest: identifiers");
        XmlValues needed = manifest.values(
                      fmt::format("//c:resource[@identifier='{}']/c:dependency/@identifierref", resource)),
                  reached;
        for (const std::string& href : hrefs) {
            want(bytes_of(folder + href) != nullptr, "AIM assessmentItemRef: href");
            for (std::string& id : manifest.values(fmt::format("//c:resource[@href='{}']/@identifier", folder + href)))
                reached.push_back(std::move(id));
        }
        std::ranges::sort(needed), std::ranges::sort(reached);
        want(needed == reached, "CP dependency: what a test refers to");
    }

    /// CP, "resource", "file", "dependency"; integration guide of QTI 2.1 for the types.
    void run() {
        want(!files.empty() && files.front().first == "imsmanifest.xml", "CP manifest: at the root");
        const Xml manifest(*bytes_of("imsmanifest.xml"));
        const XmlValues ids = manifest.values("//c:resource/@identifier");
        want(all_different(ids), "CP identifier: unique in the manifest");
        for (const std::string& to : manifest.values("//@identifierref"))
            want(std::ranges::find(ids, to) != ids.end(), "CP dependency: a resource");
        std::set<std::string> named;
        for (const std::string& id : ids) {
            const auto of = [&](const char* what) {
                return manifest.values(fmt::format("//c:resource[@identifier='{}']/{}", id, what));
            };
            const std::string href = of("@href").at(0), type = of("@type").at(0);
            for (const std::string& file : of("c:file/@href")) {
                named.insert(file);
                want(bytes_of(file) != nullptr, "CP file: in the package");
                want(file.find("..") == std::string::npos && file.find(':') == std::string::npos && file[0] != '/',
                     "CP href: inside the package");
            }
            const XmlValues own = of("c:file/@href");
            want(std::ranges::find(own, href) != own.end(), "CP resource: its href is one of its files");
            const std::string* bytes = bytes_of(href);
            if (!bytes) continue;
            const Xml x(*bytes);
            const bool is_item = !x.values("/q:assessmentItem").empty(),
                       is_test = !x.values("/q:assessmentTest").empty();
            want(type == (is_item   ? "imsqti_item_xmlv2p1"
                          : is_test ? "imsqti_test_xmlv2p1"
                                    : ""),
                 "QTI integration: type of a resource");
            if (is_item) item(x);
            if (is_test) test(x, href.substr(0, href.find('/') + 1), manifest, id);
        }
        for (const auto& [path, bytes] : files) {
            want(path == "imsmanifest.xml" || named.contains(path), "CP file: every one is named");
            want(bytes.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"), "XML 1.0: encoding declared");
        }
    }
};

std::set<std::string> broken_rules(const Files& files) {
    PackageCheck package{files, {}};
    package.run();
    return package.broken;
}

TEST(QuestionRules, AreKeptByEveryPackage) {
    EXPECT_EQ(broken_rules(qti_files(class_of_three(), "A \"bench\" & <more>")), std::set<std::string>());
}

struct Breakage {
    const char *rule, *file, *from, *to;  ///< file: part of its path; the first that holds `from` is changed
};

/// A rule that nothing can break says nothing.
TEST(QuestionRules, AreEachBrokenByOneChange) {
    const Breakage changes[] = {
        {"AIM identifier: form", "item-", "identifier=\"l01-item", "identifier=\"1l01-item"},
        {"AIM responseDeclaration: bound to one interaction each", "item-", "responseIdentifier=\"RESPONSE\"",
         "responseIdentifier=\"ANSWER\""},
        {"AIM correctResponse: one value where the cardinality is single", "item-", "</value>\n    </correctResponse>",
         "</value>\n<value>A</value></correctResponse>"},
        {"AIM textEntryInteraction: base type", "item-", "baseType=\"float\">\n    <correctResponse>",
         "baseType=\"identifier\">\n    <correctResponse>"},
        {"AIM choiceInteraction: base type", "item-", "baseType=\"identifier\"", "baseType=\"float\""},
        {"AIM choiceInteraction: single cardinality is one choice", "item-", "maxChoices=\"1\"", "maxChoices=\"2\""},
        {"AIM simpleChoice: identifiers", "item-", "<simpleChoice identifier=\"B\"", "<simpleChoice identifier=\"A\""},
        {"AIM outcomeDeclaration: identifiers", "item-", "<outcomeDeclaration",
         "<outcomeDeclaration identifier=\"SCORE\"/><outcomeDeclaration"},
        {"AIM response processing template: RESPONSE and SCORE", "item-",
         "identifier=\"RESPONSE\" cardinality=\"single\" baseType=\"identifier\"",
         "identifier=\"ANSWER\" cardinality=\"single\" baseType=\"identifier\""},
        {"AIM variable: declared", "item-", "<variable identifier=\"RESPONSE\"", "<variable identifier=\"ANSWER\""},
        {"AIM correct: declared", "item-", "<correct identifier=\"RESPONSE\"", "<correct identifier=\"SCORE\""},
        {"AIM setOutcomeValue: declared", "item-", "<setOutcomeValue identifier=\"SCORE\"",
         "<setOutcomeValue identifier=\"POINTS\""},
        {"AIM equal: tolerance", "item-", "tolerance=\"", "tolerance=\"-"},
        {"AIM assessmentTest: identifiers", "test.xml", "identifier=\"section-1\"", "identifier=\"part-1\""},
        {"AIM assessmentItemRef: href", "test.xml", "href=\"item-", "href=\"no-item-"},
        {"CP dependency: what a test refers to", "imsmanifest", "<dependency identifierref=\"l01-item-1",
         "<dependency identifierref=\"l02-item-1"},
        {"CP dependency: a resource", "imsmanifest", "<dependency identifierref=\"", "<dependency identifierref=\"no-"},
        {"CP identifier: unique in the manifest", "imsmanifest", "<resource identifier=\"learner-02\"",
         "<resource identifier=\"learner-01\""},
        {"CP file: in the package", "imsmanifest", "<file href=\"learner-01/", "<file href=\"learner-09/"},
        {"CP href: inside the package", "imsmanifest", "<file href=\"learner-01/", "<file href=\"../learner-01/"},
        {"CP resource: its href is one of its files", "imsmanifest", "<file href=\"learner-01/test.xml\"/>",
         "<file href=\"learner-02/test.xml\"/>"},
        {"QTI integration: type of a resource", "imsmanifest", "imsqti_item_xmlv2p1", "imsqti_test_xmlv2p1"},
        {"XML 1.0: encoding declared", "item-", " encoding=\"UTF-8\"", ""},
    };
    for (const Breakage& change : changes) {
        Files files = qti_files(class_of_three(), "x");
        bool made = false;
        for (auto& [path, bytes] : files) {
            const std::size_t at =
                path.find(change.file) == std::string::npos ? std::string::npos : bytes.find(change.from);
            if (at == std::string::npos) continue;
            bytes.replace(at, std::string(change.from).size(), change.to);
            made = true;
            break;
        }
        EXPECT_TRUE(made) << change.rule;
        EXPECT_TRUE(broken_rules(files).contains(change.rule)) << change.rule;
    }
    Files without = qti_files(class_of_three(), "x");
    without.push_back({"learner-01/unnamed.xml", without.back().second});
    EXPECT_TRUE(broken_rules(without).contains("CP file: every one is named"));
    // Of a number, and of a choice: another answer than one that can be given.
    for (const auto& [number, rule] :
         {std::pair{true, "AIM baseType float: value"}, {false, "AIM correctResponse: among the choices"}}) {
        Files files = qti_files(class_of_three(), "x");
        for (auto& [path, bytes] : files)
            if (path.find("item-") != std::string::npos &&
                (bytes.find("textEntryInteraction") != std::string::npos) == number) {
                bytes = std::regex_replace(bytes, std::regex("<correctResponse>\\s*<value>[^<]*"),
                                           "<correctResponse><value>none");
                break;
            }
        EXPECT_TRUE(broken_rules(files).contains(rule)) << rule;
    }
}

}  // namespace
}  // namespace voltsill
