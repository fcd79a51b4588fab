#include "engine/question_package.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "drawing/text.h"
#include "engine/stored_zip.h"

namespace voltsill {
namespace {

constexpr const char* head = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
constexpr const char* qti_space =
    "xmlns=\"http://www.imsglobal.org/xsd/imsqti_v2p1\" xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" "
    "xsi:schemaLocation=\"http://www.imsglobal.org/xsd/imsqti_v2p1 "
    "http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd\"";

std::string folder_of(int learner) { return fmt::format("learner-{:02}", learner); }
std::string item_name(const TestQuestion& q, std::size_t number) { return fmt::format("item-{}-{}", number, q.family); }
/// Of an item among all of the package; identifiers of QTI have 32 characters at most, to be read everywhere.
std::string item_id(int learner, const std::string& name) { return fmt::format("l{:02}-{}", learner, name); }

std::string paragraphs(const std::vector<std::string>& sentences) {
    std::string out;
    for (const std::string& sentence : sentences) out += fmt::format("    <p>{}</p>\n", escape_html(clean(sentence)));
    return out;
}

/// Right answer, score, and how to score.
std::string declarations(const TestQuestion& q) {
    return fmt::format(
        "  <responseDeclaration identifier=\"RESPONSE\" cardinality=\"single\" baseType=\"{}\">\n"
        "    <correctResponse>\n      <value>{}</value>\n    </correctResponse>\n"
        "  </responseDeclaration>\n"
        "  <outcomeDeclaration identifier=\"SCORE\" cardinality=\"single\" baseType=\"float\">\n"
        "    <defaultValue>\n      <value>0</value>\n    </defaultValue>\n"
        "  </outcomeDeclaration>\n",
        q.numeric ? "float" : "identifier",
        q.numeric ? fmt::format("{:.6g}", q.numeric->value / q.numeric->unit_size) : right_letter(q));
}

std::string interaction(const TestQuestion& q) {
    const std::string text = escape_html(clean(q.text));
    if (q.numeric)
        return fmt::format(
            "    <p>{} <textEntryInteraction responseIdentifier=\"RESPONSE\" expectedLength=\"10\"/> {}</p>\n", text,
            q.numeric->unit);
    std::string out = fmt::format(
        "    <choiceInteraction responseIdentifier=\"RESPONSE\" shuffle=\"false\" maxChoices=\"1\">\n"
        "      <prompt>{}</prompt>\n",
        text);
    for (const QuestionOption& option : q.options)
        out += fmt::format("      <simpleChoice identifier=\"{}\">{}</simpleChoice>\n", option.letter,
                           escape_html(clean(option.text)));
    return out + "    </choiceInteraction>\n";
}

std::string rubric(const TestQuestion& q) {
    std::string out = "    <rubricBlock view=\"scorer tutor\">\n";
    const auto add = [&](const std::string& text) {
        out += fmt::format("      <p>{}</p>\n", escape_html(clean(text)));
    };
    add(q.arithmetic);
    if (q.numeric)
        add(fmt::format("{} within {:.4g} {}", answer_words(*q.numeric), q.numeric->tolerance / q.numeric->unit_size,
                        q.numeric->unit));
    for (const QuestionOption& option : q.options) add(fmt::format("{}: {}", option.letter, option.why));
    add(fmt::format("Sources: {}", fmt::join(q.sources, "; ")));
    return out + "    </rubricBlock>\n";
}

std::string processing(const TestQuestion& q) {
    if (!q.numeric)
        return "  <responseProcessing "
               "template=\"http://www.imsglobal.org/question/qti_v2p1/rptemplates/match_correct\"/>\n";
    return fmt::format(
        "  <responseProcessing>\n    <responseCondition>\n      <responseIf>\n"
        "        <equal toleranceMode=\"absolute\" tolerance=\"{0:.6g} {0:.6g}\">\n"
        "          <variable identifier=\"RESPONSE\"/>\n          <correct identifier=\"RESPONSE\"/>\n"
        "        </equal>\n"
        "        <setOutcomeValue identifier=\"SCORE\">\n          <baseValue baseType=\"float\">1</baseValue>\n"
        "        </setOutcomeValue>\n      </responseIf>\n    </responseCondition>\n  </responseProcessing>\n",
        q.numeric->tolerance / q.numeric->unit_size);
}

std::string item_xml(const TestQuestion& q, int learner, std::size_t number) {
    return fmt::format(
               "{}<assessmentItem {} identifier=\"{}\" title=\"{}\" adaptive=\"false\" timeDependent=\"false\">\n",
               head, qti_space, item_id(learner, item_name(q, number)), escape_html(q.title)) +
           declarations(q) + "  <itemBody>\n" + paragraphs(q.given) + interaction(q) + rubric(q) + "  </itemBody>\n" +
           processing(q) + "</assessmentItem>\n";
}

std::string test_xml(const LearnerQuestions& learner, const std::string& title) {
    const std::string name = folder_of(learner.learner);
    std::string out = fmt::format(
        "{}<assessmentTest {} identifier=\"{}\" title=\"{}\">\n"
        "  <testPart identifier=\"part-1\" navigationMode=\"nonlinear\" submissionMode=\"individual\">\n"
        "    <assessmentSection identifier=\"section-1\" title=\"Questions\" visible=\"true\">\n",
        head, qti_space, name, escape_html(clean(fmt::format("{}: learner {}", title, learner.learner))));
    for (std::size_t k = 0; k < learner.questions.size(); ++k) {
        const std::string item = item_name(learner.questions[k], k + 1);
        out += fmt::format("      <assessmentItemRef identifier=\"{}\" href=\"{}.xml\"/>\n",
                           item_id(learner.learner, item), item);
    }
    return out + "    </assessmentSection>\n  </testPart>\n</assessmentTest>\n";
}

std::string manifest_xml(const QuestionSet& set) {
    std::string out = fmt::format(
        "{}<manifest xmlns=\"http://www.imsglobal.org/xsd/imscp_v1p1\" identifier=\"questions\">\n"
        "  <metadata>\n    <schema>QTIv2.1 Package</schema>\n    <schemaversion>1.0.0</schemaversion>\n  </metadata>\n"
        "  <organizations/>\n  <resources>\n",
        head);
    for (const LearnerQuestions& learner : set.learners) {
        if (learner.questions.empty()) continue;
        const std::string name = folder_of(learner.learner);
        std::string items, dependencies;
        for (std::size_t k = 0; k < learner.questions.size(); ++k) {
            const std::string item = item_name(learner.questions[k], k + 1);
            const std::string id = item_id(learner.learner, item);
            dependencies += fmt::format("      <dependency identifierref=\"{}\"/>\n", id);
            items += fmt::format(
                "    <resource identifier=\"{2}\" type=\"imsqti_item_xmlv2p1\" href=\"{0}/{1}.xml\">\n"
                "      <file href=\"{0}/{1}.xml\"/>\n    </resource>\n",
                name, item, id);
        }
        out += fmt::format(
            "    <resource identifier=\"{0}\" type=\"imsqti_test_xmlv2p1\" href=\"{0}/test.xml\">\n"
            "      <file href=\"{0}/test.xml\"/>\n{1}    </resource>\n{2}",
            name, dependencies, items);
    }
    return out + "  </resources>\n</manifest>\n";
}

}  // namespace

std::vector<std::pair<std::string, std::string>> qti_files(const QuestionSet& set, const std::string& title) {
    std::vector<std::pair<std::string, std::string>> out{{"imsmanifest.xml", manifest_xml(set)}};
    for (const LearnerQuestions& learner : set.learners) {
        if (learner.questions.empty()) continue;
        const std::string folder = folder_of(learner.learner);
        out.emplace_back(folder + "/test.xml", test_xml(learner, title));
        for (std::size_t k = 0; k < learner.questions.size(); ++k)
            out.emplace_back(fmt::format("{}/{}.xml", folder, item_name(learner.questions[k], k + 1)),
                             item_xml(learner.questions[k], learner.learner, k + 1));
    }
    return out;
}

std::string qti_package(const QuestionSet& set, const std::string& title) { return stored_zip(qti_files(set, title)); }

}  // namespace voltsill
