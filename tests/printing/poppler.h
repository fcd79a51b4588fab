#pragma once
/// What Poppler, a reader of PDF that shares no code with our writer, finds in a file.
#include <libxml/parser.h>
#include <libxml/tree.h>

#include <memory>
#include <string>
#include <vector>

#include "printing/pdf.h"
#include "support/program.h"

namespace voltsill::printing {

class Printed {
public:
    explicit Printed(const std::string& bytes) : path_(folder_.write("a.pdf", bytes)) {}

    struct Said {
        int code = -1;
        std::string out;
    };
    /// `tool` with the file's name in place of @.
    Said run(std::string command) const {
        command.replace(command.find('@'), 1, path_);
        command += " 2>&1";
        Said said;
        FILE* pipe = popen(command.c_str(), "r");
        char buffer[4096];
        while (const std::size_t n = fread(buffer, 1, sizeof buffer, pipe)) said.out.append(buffer, n);
        const int status = pclose(pipe);
        said.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        return said;
    }
    std::string info() const { return run("pdfinfo @").out; }
    /// Of one page, or of all (0), in the order in which it was printed, without the foot of the page.
    std::string text(int page = 0) const {
        const std::string range = page ? " -f " + std::to_string(page) + " -l " + std::to_string(page) : "";
        return run("pdftotext -raw -enc UTF-8 -x 0 -y 0 -W 2000 -H 800" + range + " @ -").out;
    }
    std::string whole_text(int page) const {
        return run("pdftotext -raw -enc UTF-8 -f " + std::to_string(page) + " -l " + std::to_string(page) + " @ -").out;
    }

    struct Word {
        int page = 0;
        double page_width = 0, page_height = 0, x0 = 0, y0 = 0, x1 = 0, y1 = 0;
        std::string text;
    };
    std::vector<Word> words() const {
        const std::string page = run("pdftotext -bbox @ -").out;
        const std::unique_ptr<xmlDoc, void (*)(xmlDoc*)> doc(
            xmlReadMemory(page.data(), static_cast<int>(page.size()), nullptr, nullptr,
                          XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_RECOVER),
            xmlFreeDoc);
        std::vector<Word> out;
        Word at;
        if (doc) collect(xmlDocGetRootElement(doc.get()), at, out);
        return out;
    }

private:
    static double number(xmlNode* node, const char* name) {
        const std::unique_ptr<xmlChar, void (*)(void*)> value(
            xmlGetProp(node, reinterpret_cast<const xmlChar*>(name)), xmlFree);
        return value ? std::atof(reinterpret_cast<const char*>(value.get())) : 0;
    }
    static void collect(xmlNode* node, Word& at, std::vector<Word>& out) {
        for (; node; node = node->next) {
            const std::string name = node->name ? reinterpret_cast<const char*>(node->name) : "";
            if (name == "page") {
                ++at.page;
                at.page_width = number(node, "width");
                at.page_height = number(node, "height");
            }
            if (name == "word") {
                const std::unique_ptr<xmlChar, void (*)(void*)> content(xmlNodeGetContent(node), xmlFree);
                Word word = at;
                word.x0 = number(node, "xMin"), word.x1 = number(node, "xMax");
                word.y0 = number(node, "yMin"), word.y1 = number(node, "yMax");
                word.text = reinterpret_cast<const char*>(content.get());
                out.push_back(word);
            }
            collect(node->children, at, out);
        }
    }

    voltsill::testing::Folder folder_;
    std::string path_;
};

}  // namespace voltsill::printing
