// Driver for GEOS (libgeos-dev).
//
//   geos offset FILE DISTANCE FACET   one offset; prints CPU s, rings, area
//   geos pocket FILE STEP FACET       offsets inward, each from the last, until nothing is left
//   geos buffer FACET                 shapes on standard input, each after a line "-- DISTANCE";
//                                     prints for each the area and the rings of its buffer, then "--"
#include <geos_c.h>

#include <cmath>
#include <cstdarg>

#include "shape.hpp"

static void notice(const char* fmt, ...) {
  va_list ap;
  va_start(ap, fmt);
  std::vfprintf(stderr, fmt, ap);
  va_end(ap);
  std::fputc('\n', stderr);
}

static GEOSGeometry* ring(const Ring& r) {
  GEOSCoordSequence* s = GEOSCoordSeq_create(r.size() + 1, 2);
  for (size_t i = 0; i <= r.size(); i++) GEOSCoordSeq_setXY(s, i, r[i % r.size()].first, r[i % r.size()].second);
  return GEOSGeom_createLinearRing(s);
}

static GEOSGeometry* polygon(const std::vector<Ring>& rings) {
  std::vector<GEOSGeometry*> holes;
  for (size_t i = 1; i < rings.size(); i++) holes.push_back(ring(rings[i]));
  return GEOSGeom_createPolygon(ring(rings[0]), holes.data(), holes.size());
}

// Segments to a quarter circle of radius d that leave chords within facet.
static int quadrant(double d, double facet) {
  d = std::fabs(d);
  if (facet >= d) return 1;
  return std::max(1, (int)std::ceil(M_PI / 4 / std::acos(1 - facet / d)));
}

static GEOSGeometry* offset(const GEOSGeometry* g, double d, double facet) {
  GEOSGeometry* out = GEOSBuffer(g, d, quadrant(d, facet));
  if (!out) std::exit(1);
  return out;
}

template <class F>
static void eachRing(const GEOSGeometry* g, F f) {
  for (int i = 0; i < GEOSGetNumGeometries(g); i++) {
    const GEOSGeometry* p = GEOSGetGeometryN(g, i);
    if (GEOSisEmpty(p)) continue;
    f(GEOSGetExteriorRing(p));
    for (int k = 0; k < GEOSGetNumInteriorRings(p); k++) f(GEOSGetInteriorRingN(p, k));
  }
}

static size_t rings(const GEOSGeometry* g) {
  size_t n = 0;
  eachRing(g, [&](const GEOSGeometry*) { n++; });
  return n;
}

static void buffer(const std::string& text, double d, double facet) {
  std::istringstream in(text);
  GEOSGeometry* g = polygon(readShape(in));
  GEOSGeometry* b = offset(g, d, facet);
  double a;
  GEOSArea(b, &a);
  std::printf("%.12g\n", a);
  bool first = true;
  eachRing(b, [&](const GEOSGeometry* r) {
    if (!first) std::printf("\n");
    first = false;
    const GEOSCoordSequence* s = GEOSGeom_getCoordSeq(r);
    unsigned n;
    GEOSCoordSeq_getSize(s, &n);
    for (unsigned i = 0; i + 1 < n; i++) {
      double x, y;
      GEOSCoordSeq_getXY(s, i, &x, &y);
      std::printf("%.4f %.4f\n", x, y);
    }
  });
  std::printf("--\n");
  GEOSGeom_destroy(b);
  GEOSGeom_destroy(g);
}

int main(int argc, char** argv) {
  initGEOS(notice, notice);
  std::string op = argc > 1 ? argv[1] : "";
  if (op == "buffer" && argc == 3) {
    std::string line, text;
    double d = 0;
    while (std::getline(std::cin, line)) {
      if (line.rfind("--", 0) == 0) {
        if (!text.empty()) buffer(text, d, std::atof(argv[2]));
        text.clear();
        d = std::atof(line.c_str() + 2);
      } else {
        text += line + "\n";
      }
    }
    if (!text.empty()) buffer(text, d, std::atof(argv[2]));
    return 0;
  }
  if (argc != 5) {
    std::cerr << "usage: geos offset|pocket FILE DISTANCE FACET | geos buffer FACET\n";
    return 2;
  }
  GEOSGeometry* g = polygon(readShape(std::string(argv[2])));
  double d = std::atof(argv[3]), facet = std::atof(argv[4]);
  double start = cpu();
  if (op == "offset") {
    GEOSGeometry* out = offset(g, d, facet);
    double used = cpu() - start, a;
    GEOSArea(out, &a);
    std::printf("%.6f %zu %.12g\n", used, rings(out), a);
  } else if (op == "pocket") {
    size_t n = 0;
    for (GEOSGeometry* now = offset(g, -d, facet); !GEOSisEmpty(now);) {
      n += rings(now);
      GEOSGeometry* next = offset(now, -d, facet);
      GEOSGeom_destroy(now);
      now = next;
    }
    std::printf("%.6f %zu 0\n", cpu() - start, n);
  } else {
    std::cerr << "unknown operation " << op << "\n";
    return 2;
  }
}
