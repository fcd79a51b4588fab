/// Packages of questions against a grammar of QTI 2.1 and against the archive's own structure.
///
/// The schemas of the standard (imsqti_v2p1.xsd, imscp_v1p1.xsd of IMS Global) are not at hand here. The grammar
/// below is ours, RELAX NG (ISO/IEC 19757-2), for the elements that are written and no others: their names, order
/// and attributes are those of the standard's information model (IMS QTI Assessment Test, Section and Item
/// Information Model 2.1, 2012) and of IMS Content Packaging 1.1.4, from memory. It cannot show that an element is
/// allowed elsewhere; it does show that nothing is written that is not meant. What the information model says of
/// values and references, which no grammar can say, is in question_rules_test.cpp.
#include "engine/question_package.h"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <libxml/relaxng.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>
#include <set>

#include "engine/stored_zip.h"
#include "qti_xml.h"

namespace voltsill {
namespace {
using test::class_of_three;
using test::Xml;

constexpr const char* item_grammar = R"(<grammar xmlns="http://relaxng.org/ns/structure/1.0"
  datatypeLibrary="http://www.w3.org/2001/XMLSchema-datatypes" ns="http://www.imsglobal.org/xsd/imsqti_v2p1">
 <start><ref name="item"/></start>
 <define name="located"><attribute name="schemaLocation" ns="http://www.w3.org/2001/XMLSchema-instance"/></define>
 <define name="name"><data type="NCName"/></define>
 <define name="value"><element name="value"><text/></element></define>
 <define name="p"><element name="p"><text/></element></define>
 <define name="item"><element name="assessmentItem"><ref name="located"/>
   <attribute name="identifier"><ref name="name"/></attribute><attribute name="title"/>
   <attribute name="adaptive"><value>false</value></attribute><attribute name="timeDependent"><value>false</value>
    </attribute>
   <element name="responseDeclaration"><attribute name="identifier"><ref name="name"/></attribute>
     <attribute name="cardinality"><value>single</value></attribute>
     <attribute name="baseType"><choice><value>identifier</value><value>float</value></choice></attribute>
     <element name="correctResponse"><ref name="value"/></element></element>
   <element name="outcomeDeclaration"><attribute name="identifier"><value>SCORE</value></attribute>
     <attribute name="cardinality"><value>single</value></attribute><attribute name="baseType"><value>float</value>
      </attribute>
     <element name="defaultValue"><ref name="value"/></element></element>
   <element name="itemBody"><oneOrMore><ref name="p"/></oneOrMore>
     <choice><ref name="choice"/><ref name="entry"/></choice><ref name="rubric"/></element>
   <ref name="processing"/></element></define>
 <define name="choice"><element name="choiceInteraction"><attribute name="responseIdentifier"><ref name="name"/>
  </attribute>
   <attribute name="shuffle"><data type="boolean"/></attribute><attribute name="maxChoices">
    <data type="nonNegativeInteger"/></attribute>
   <element name="prompt"><text/></element>
   <oneOrMore><element name="simpleChoice"><attribute name="identifier"><ref name="name"/></attribute><text/>
    </element></oneOrMore>
   </element></define>
 <define name="entry"><element name="p"><text/><element name="textEntryInteraction">
   <attribute name="responseIdentifier"><ref name="name"/></attribute>
   <attribute name="expectedLength"><data type="nonNegativeInteger"/></attribute></element><text/></element></define>
 <define name="rubric"><element name="rubricBlock"><attribute name="view"><list><oneOrMore><choice><value>author</value>
   <value>proctor</value><value>scorer</value><value>testConstructor</value><value>tutor</value></choice></oneOrMore>
    </list></attribute>
   <oneOrMore><ref name="p"/></oneOrMore></element></define>
 <define name="processing"><element name="responseProcessing"><choice>
   <attribute name="template"><value>http://www.imsglobal.org/question/qti_v2p1/rptemplates/match_correct</value>
    </attribute>
   <element name="responseCondition"><element name="responseIf">
     <element name="equal"><attribute name="toleranceMode"><value>absolute</value></attribute>
       <attribute name="tolerance"><list><data type="double"/><data type="double"/></list></attribute>
       <element name="variable"><attribute name="identifier"><ref name="name"/></attribute></element>
       <element name="correct"><attribute name="identifier"><ref name="name"/></attribute></element></element>
     <element name="setOutcomeValue"><attribute name="identifier"><value>SCORE</value></attribute>
       <element name="baseValue"><attribute name="baseType"><value>float</value></attribute><data type="double"/>
        </element></element>
   </element></element></choice></element></define>
</grammar>)";

constexpr const char* test_grammar = R"(<grammar xmlns="http://relaxng.org/ns/structure/1.0"
  datatypeLibrary="http://www.w3.org/2001/XMLSchema-datatypes" ns="http://www.imsglobal.org/xsd/imsqti_v2p1">
 <start><element name="assessmentTest"><attribute name="schemaLocation" ns="http://www.w3.org/2001/XMLSchema-instance"/>
  <attribute name="identifier"/><attribute name="title"/>
  <element name="testPart"><attribute name="identifier"><data type="NCName"/></attribute>
   <attribute name="navigationMode"><choice><value>linear</value><value>nonlinear</value></choice></attribute>
   <attribute name="submissionMode"><choice><value>individual</value><value>simultaneous</value></choice></attribute>
   <element name="assessmentSection"><attribute name="identifier"><data type="NCName"/></attribute>
    <attribute name="title"/>
    <attribute name="visible"><data type="boolean"/></attribute>
    <oneOrMore><element name="assessmentItemRef"><attribute name="identifier"><data type="NCName"/></attribute>
     <attribute name="href"><data type="anyURI"/></attribute></element></oneOrMore></element></element></element>
      </start>
</grammar>)";

constexpr const char* manifest_grammar = R"(<grammar xmlns="http://relaxng.org/ns/structure/1.0"
  datatypeLibrary="http://www.w3.org/2001/XMLSchema-datatypes" ns="http://www.imsglobal.org/xsd/imscp_v1p1">
 <start><element name="manifest"><attribute name="identifier"><data type="ID"/></attribute>
  <element name="metadata"><element name="schema"><value>QTIv2.1 Package</value></element>
   <element name="schemaversion"><text/></element></element>
  <element name="organizations"><empty/></element>
  <element name="resources"><zeroOrMore><element name="resource"><attribute name="identifier"><data type="ID"/>
   </attribute>
   <attribute name="type"><choice><value>imsqti_item_xmlv2p1</value><value>imsqti_test_xmlv2p1</value></choice>
    </attribute>
   <attribute name="href"/><element name="file"><attribute name="href"/></element>
   <zeroOrMore><element name="dependency"><attribute name="identifierref"><data type="IDREF"/></attribute></element>
    </zeroOrMore>
  </element></zeroOrMore></element></element></start>
</grammar>)";

void silent(void*, const char*, ...) {}  // a failure prints the file itself

bool keeps_to(const Xml& xml, const char* grammar) {
    xmlRelaxNGParserCtxtPtr parser = xmlRelaxNGNewMemParserCtxt(grammar, static_cast<int>(std::string(grammar).size()));
    xmlRelaxNGPtr rules = xmlRelaxNGParse(parser);
    EXPECT_NE(rules, nullptr);
    xmlRelaxNGValidCtxtPtr check = xmlRelaxNGNewValidCtxt(rules);
    xmlRelaxNGSetValidErrors(check, silent, silent, nullptr);
    const bool good = xmlRelaxNGValidateDoc(check, xml.doc) == 0;
    xmlRelaxNGFreeValidCtxt(check);
    xmlRelaxNGFree(rules);
    xmlRelaxNGFreeParserCtxt(parser);
    return good;
}

TEST(QuestionPackage, EveryFileKeepsToTheGrammar) {
    int items = 0;
    for (const auto& [path, bytes] : qti_files(class_of_three(), "A \"bench\" & <more>")) {
        const Xml xml(bytes);
        ASSERT_NE(xml.doc, nullptr) << path << "\n" << bytes;
        const bool item = path.find("/item-") != std::string::npos;
        EXPECT_TRUE(keeps_to(xml, path == "imsmanifest.xml" ? manifest_grammar
                                  : item                    ? item_grammar
                                                            : test_grammar))
            << path << "\n"
            << bytes;
        items += item;
    }
    EXPECT_GE(items, 12);
}

/// The grammar refuses what it should: an item without its response, a choice without choices.
TEST(QuestionPackage, TheGrammarRefusesHalfItems) {
    for (const auto& [path, bytes] : qti_files(class_of_three(), "x")) {
        if (path.find("/item-") == std::string::npos) continue;
        for (const char* part :
             {"<correctResponse>[^]*?</correctResponse>", "<prompt>[^]*?</prompt>|<textEntryInteraction[^>]*>",
              "<rubricBlock[^]*?</rubricBlock>", "adaptive=\"false\""}) {
            const std::string half = std::regex_replace(bytes, std::regex(part), "");
            ASSERT_NE(half, bytes) << part;
            EXPECT_FALSE(keeps_to(Xml(half), item_grammar)) << path << " without " << part;
        }
        break;
    }
}

TEST(QuestionPackage, ResponsesAreAmongTheChoicesAndNumbersWithinTheirTolerance) {
    std::map<std::string, const TestQuestion*> by_id;
    for (const LearnerQuestions& learner : class_of_three().learners)
        for (std::size_t k = 0; k < learner.questions.size(); ++k)
            by_id[fmt::format("l{:02}-item-{}-{}", learner.learner, k + 1, learner.questions[k].family)] =
                &learner.questions[k];
    for (const auto& [path, bytes] : qti_files(class_of_three(), "x")) {
        if (path.find("/item-") == std::string::npos) continue;
        const Xml xml(bytes);
        const TestQuestion& q = *by_id.at(xml.values("/q:assessmentItem/@identifier").at(0));
        const std::string response = xml.values("//q:correctResponse/q:value").at(0);
        EXPECT_EQ(xml.values("//q:responseDeclaration/@identifier"), xml.values("//@responseIdentifier")) << path;
        const auto choices = xml.values("//q:simpleChoice/@identifier");
        EXPECT_EQ(std::set<std::string>(choices.begin(), choices.end()).size(), choices.size()) << "a choice twice";
        if (q.numeric) {
            EXPECT_EQ(xml.values("//q:responseDeclaration/@baseType").at(0), "float");
            EXPECT_NEAR(std::stod(response) * q.numeric->unit_size, q.numeric->value,
                        1e-4 * std::abs(q.numeric->value) + 1e-6);
            EXPECT_NEAR(std::stod(xml.values("//q:equal/@tolerance").at(0)) * q.numeric->unit_size,
                        q.numeric->tolerance, 1e-3 * q.numeric->tolerance);
        } else {
            EXPECT_EQ(std::ranges::count(choices, response), 1) << path;
            EXPECT_EQ(choices.size(), q.options.size());
            const auto right = std::ranges::find_if(q.options, &QuestionOption::right);
            EXPECT_EQ(xml.values("//q:simpleChoice[@identifier='" + response + "']").at(0), right->text);
        }
        const std::string seen = xml.values("//q:itemBody").at(0), rubric = xml.values("//q:rubricBlock").at(0);
        const std::string candidate = seen.substr(0, seen.find(rubric));
        EXPECT_EQ(candidate.find(q.arithmetic), std::string::npos) << "candidates see the worked answer";
    }
}

TEST(QuestionPackage, TheManifestNamesEveryFileOnceAndTestsTheirItems) {
    const auto files = qti_files(class_of_three(), "x");
    const Xml manifest(files.front().second);
    ASSERT_EQ(files.front().first, "imsmanifest.xml");
    const auto hrefs = manifest.values("//c:file/@href"), names = manifest.values("//@identifier");
    std::set<std::string> named(hrefs.begin(), hrefs.end()), paths;
    for (std::size_t k = 1; k < files.size(); ++k) paths.insert(files[k].first);
    EXPECT_EQ(named, paths);
    EXPECT_EQ(hrefs.size(), paths.size());
    EXPECT_EQ(std::set<std::string>(names.begin(), names.end()).size(), names.size());
    for (const std::string& to : manifest.values("//@identifierref")) EXPECT_EQ(std::ranges::count(names, to), 1) << to;
    for (const auto& [path, bytes] : files)
        if (path.ends_with("/test.xml")) {
            for (const std::string& href : Xml(bytes).values("//q:assessmentItemRef/@href"))
                EXPECT_TRUE(paths.contains(path.substr(0, path.find('/') + 1) + href)) << href;
        }
}

/// CRC-32's check value, and an archive read back from its directory by rules written here (APPNOTE.TXT, from memory).
TEST(StoredZip, ReadsBackFromItsDirectory) {
    EXPECT_EQ(crc32_of("123456789"), 0xCBF43926u);
    const std::vector<std::pair<std::string, std::string>> files{
        {"a.txt", "one"}, {"b/ü.txt", std::string(70000, 'x')}, {"c", ""}};
    const std::string zip = stored_zip(files);
    const auto number = [&](std::size_t at, int bytes) {
        std::uint32_t out = 0;
        for (int k = bytes; k-- > 0;)
            out = out << 8 | static_cast<unsigned char>(zip.at(at + static_cast<std::size_t>(k)));
        return out;
    };
    const std::size_t end = zip.size() - 22;
    ASSERT_EQ(number(end, 4), 0x06054b50u);
    ASSERT_EQ(number(end + 10, 2), files.size());
    std::size_t at = number(end + 16, 4);
    EXPECT_EQ(at + number(end + 12, 4), end);
    for (const auto& [name, bytes] : files) {
        ASSERT_EQ(number(at, 4), 0x02014b50u);
        EXPECT_EQ(number(at + 10, 2), 0u) << "not stored";
        EXPECT_EQ(number(at + 16, 4), crc32_of(bytes));
        EXPECT_EQ(number(at + 20, 4), bytes.size());
        EXPECT_EQ(number(at + 24, 4), bytes.size());
        EXPECT_EQ(zip.substr(at + 46, number(at + 28, 2)), name);
        const std::size_t local = number(at + 42, 4);
        ASSERT_EQ(number(local, 4), 0x04034b50u);
        EXPECT_EQ(zip.substr(local + 30, name.size()), name);
        EXPECT_EQ(zip.substr(local + 30 + number(local + 26, 2) + number(local + 28, 2), bytes.size()), bytes);
        at += 46 + number(at + 28, 2) + number(at + 30, 2) + number(at + 32, 2);
    }
    EXPECT_EQ(at, end);
    EXPECT_EQ(zip, stored_zip(files));
}

}  // namespace
}  // namespace voltsill
