"""The Embree engine: soft light by shadow rays, the same pixels on every run, no OpenGL."""
