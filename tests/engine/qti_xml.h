#pragma once
/// Files of a package of questions, looked into; and the questions of a class of three.
#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>

#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "planning/plan.h"
#include "teaching/questions.h"

namespace voltsill::test {

struct Xml {
    xmlDocPtr doc;
    explicit Xml(const std::string& bytes)
        : doc(xmlReadMemory(bytes.data(), static_cast<int>(bytes.size()), "x", nullptr,
                            XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING)) {}
    ~Xml() { xmlFreeDoc(doc); }
    Xml(const Xml&) = delete;
    Xml& operator=(const Xml&) = delete;
    /// Values of an XPath with the prefix q for QTI and c for content packaging.
    std::vector<std::string> values(const std::string& path) const {
        xmlXPathContextPtr at = xmlXPathNewContext(doc);
        const auto text = [](const char* s) { return reinterpret_cast<const xmlChar*>(s); };
        xmlXPathRegisterNs(at, text("q"), text("http://www.imsglobal.org/xsd/imsqti_v2p1"));
        xmlXPathRegisterNs(at, text("c"), text("http://www.imsglobal.org/xsd/imscp_v1p1"));
        xmlXPathObjectPtr found = xmlXPathEvalExpression(text(path.c_str()), at);
        std::vector<std::string> out;
        for (int k = 0; found && found->nodesetval && k < found->nodesetval->nodeNr; ++k) {
            xmlChar* content = xmlNodeGetContent(found->nodesetval->nodeTab[k]);
            out.emplace_back(reinterpret_cast<const char*>(content));
            xmlFree(content);
        }
        xmlXPathFreeObject(found);
        xmlXPathFreeContext(at);
        return out;
    }
};

inline const QuestionSet& class_of_three() {
    static const QuestionSet set = [] {
        std::ifstream in(VOLTSILL_ROOT "/examples/first-bench.toml", std::ios::binary);
        std::stringstream text;
        text << in.rdbuf();
        const Bench bench = *read_bench(text.str(), "first-bench").bench;
        return make_questions(bench, plan(bench).wiring, 3, 5);
    }();
    return set;
}

}  // namespace voltsill::test
