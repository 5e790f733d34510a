#include "sound.hpp"

#include <AL/al.h>
#include <AL/alc.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <cstring>

namespace railseep::gui {

/// OpenAL's device, the one context on it, and the one source that plays.
struct Sound::Device {
  ALCdevice* device = nullptr;
  ALCcontext* context = nullptr;
  ALuint source = 0, buffer = 0;
  std::atomic<bool> opened = false;  // set by the worker that opens, read by the frame
};

namespace {

/// The library's own stand-in for a missing device hears everything and says nothing; it counts when somebody asked for
/// it.
bool speaks(ALCdevice* device) {
  const char* name = alcGetString(device, ALC_DEVICE_SPECIFIER);
  return !name || std::strcmp(name, "No Output") != 0 || std::getenv("ALSOFT_DRIVERS");
}

}  // namespace

Sound::Sound() : device_(std::make_unique<Device>()) {}

Sound::~Sound() {
  if (device_->context) {
    stop();
    alDeleteSources(1, &device_->source), alDeleteBuffers(1, &device_->buffer);
    alcMakeContextCurrent(nullptr), alcDestroyContext(device_->context);
  }
  if (device_->device) alcCloseDevice(device_->device);
}

void Sound::open() {
  if (opened()) return;
  Device& d = *device_;
  d.device = alcOpenDevice(nullptr);
  if (d.device && speaks(d.device)) d.context = alcCreateContext(d.device, nullptr);
  if (d.context && alcMakeContextCurrent(d.context)) alGenSources(1, &d.source), alGenBuffers(1, &d.buffer);
  d.opened = true;
}

bool Sound::opened() const { return device_->opened; }

bool Sound::there() const { return opened() && device_->context; }

void Sound::play(const std::vector<float>& samples, double rate) {
  if (!there() || samples.empty()) return;
  stop();
  std::vector<short> words(samples.size());
  std::transform(samples.begin(), samples.end(), words.begin(),
                 [](float v) { return static_cast<short>(std::lround(32767 * std::clamp(v, -1.0f, 1.0f))); });
  alBufferData(device_->buffer, AL_FORMAT_MONO16, words.data(), static_cast<ALsizei>(words.size() * sizeof(short)),
               static_cast<ALsizei>(std::lround(rate)));
  alSourcei(device_->source, AL_BUFFER, static_cast<ALint>(device_->buffer));
  alSourcei(device_->source, AL_LOOPING, AL_TRUE);
  alSourcePlay(device_->source);
}

void Sound::stop() {
  if (!there()) return;
  alSourceStop(device_->source);
  alSourcei(device_->source, AL_BUFFER, 0);  // a buffer in use cannot be filled again
}

bool Sound::playing() const {
  if (!there()) return false;
  ALint state = 0;
  alGetSourcei(device_->source, AL_SOURCE_STATE, &state);
  return state == AL_PLAYING;
}

void Sound::set_volume(double share) {
  if (there()) alSourcef(device_->source, AL_GAIN, static_cast<ALfloat>(std::clamp(share, 0.0, 1.0)));
}

}  // namespace railseep::gui
