#pragma once

namespace railseep {

/// Text of models/study.json, put into the library when it is built.
extern const char* const study_text;

}  // namespace railseep
