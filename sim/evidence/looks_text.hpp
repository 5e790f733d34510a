#pragma once

namespace railseep {

/// Text of models/looks.json, put into the library when it is built.
extern const char* const looks_text;

}  // namespace railseep
