// Stands for the page where web/ was not built: see cmake/web.cmake.
#include "server/assets.h"

namespace voltsill {

std::span<const Asset> voltsill_assets() {
    static constexpr Asset assets[] = {
        {"index.html", "text/html; charset=utf-8",
         "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>Voltsill</title>\n"
         "<meta name=\"voltsill-token\" content=\"__VOLTSILL_TOKEN__\">\n"
         "<meta name=\"voltsill-style-nonce\" content=\"__VOLTSILL_NONCE__\">\n</head>\n"
         "<body><main><h1>Voltsill</h1><p>This program was built without its page (package nodejs).</p></main>"
         "</body>\n</html>\n",
         false}};
    return assets;
}

}  // namespace voltsill
