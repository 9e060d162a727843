// Reads OFF and binary STL files and prints, one line a file, what CGAL finds in them: edges
// that two triangles do not share in opposite directions, triangles without
// area, whether the surface is closed and faces outwards, pairs of triangles
// that cross, pairs that only touch in common corners or edges, the volume.
//
//   check FILE ...
//
// Corners of an STL are one point where they agree to the last bit.
// Crossing is decided with exact arithmetic on the coordinates as read.
#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Surface_mesh.h>

#include <array>
#include <cstdint>
#include <cstdio>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace PMP = CGAL::Polygon_mesh_processing;
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Exact = CGAL::Exact_predicates_exact_constructions_kernel;
using Point = Kernel::Point_3;
using Mesh = CGAL::Surface_mesh<Point>;
using Triangle = std::array<std::size_t, 3>;

struct Soup {
  std::vector<Point> points;
  std::vector<Triangle> triangles;
};

static bool read_stl(std::ifstream &in, Soup &soup) {
  char head[80];
  std::uint32_t triangles = 0;
  in.read(head, sizeof head).read(reinterpret_cast<char *>(&triangles), 4);
  std::map<std::array<float, 3>, std::size_t> places;
  for (std::uint32_t i = 0; i < triangles; i++) {
    std::array<float, 3> corner[4]; // the normal first
    char attribute[2];
    if (!in.read(reinterpret_cast<char *>(corner), sizeof corner).read(attribute, 2)) return false;
    Triangle t;
    for (int k = 0; k < 3; k++) {
      auto &p = corner[k + 1];
      auto found = places.emplace(p, soup.points.size());
      if (found.second) soup.points.emplace_back(p[0], p[1], p[2]);
      t[k] = found.first->second;
    }
    soup.triangles.push_back(t);
  }
  return in.peek() == EOF;
}

static bool read(const char *name, Soup &soup) {
  std::ifstream in(name, std::ios::binary);
  if (std::string(name).rfind(".stl") != std::string::npos) return read_stl(in, soup);
  std::string word;
  std::size_t points = 0, triangles = 0, edges = 0;
  if (!(in >> word >> points >> triangles >> edges) || word != "OFF") return false;
  for (std::size_t i = 0; i < points; i++) {
    double x, y, z;
    if (!(in >> x >> y >> z)) return false;
    soup.points.emplace_back(x, y, z);
  }
  for (std::size_t i = 0; i < triangles; i++) {
    std::size_t n;
    Triangle t;
    if (!(in >> n >> t[0] >> t[1] >> t[2]) || n != 3) return false;
    soup.triangles.push_back(t);
  }
  return true;
}

static int bad_edges(const Soup &soup) {
  std::map<std::pair<std::size_t, std::size_t>, int> count;
  for (const Triangle &t : soup.triangles)
    for (int k = 0; k < 3; k++) count[{t[k], t[(k + 1) % 3]}]++;
  int bad = 0;
  for (const auto &e : count) {
    auto back = count.find({e.first.second, e.first.first});
    if (e.second != 1 || back == count.end() || back->second != 1) bad++;
  }
  return bad;
}

// The corners of a face as exact points.
static std::array<Exact::Point_3, 3> corners(const Mesh &mesh, Mesh::Face_index f) {
  std::array<Exact::Point_3, 3> out;
  int k = 0;
  for (auto v : mesh.vertices_around_face(mesh.halfedge(f))) {
    const Point &p = mesh.point(v);
    out[k++] = Exact::Point_3(p.x(), p.y(), p.z());
  }
  return out;
}

// Whether two triangles have nothing in common but corners at the same place
// and the edges between those.
static bool only_touch(const Mesh &mesh, Mesh::Face_index f, Mesh::Face_index g) {
  auto a = corners(mesh, f), b = corners(mesh, g);
  auto common = [&](const Exact::Point_3 &p) {
    return (p == a[0] || p == a[1] || p == a[2]) && (p == b[0] || p == b[1] || p == b[2]);
  };
  auto meet = CGAL::intersection(Exact::Triangle_3(a[0], a[1], a[2]), Exact::Triangle_3(b[0], b[1], b[2]));
  if (!meet) return true;
  if (auto p = boost::get<Exact::Point_3>(&*meet)) return common(*p);
  if (auto s = boost::get<Exact::Segment_3>(&*meet)) return common(s->source()) && common(s->target());
  return false;
}

int main(int argc, char **argv) {
  for (int i = 1; i < argc; i++) {
    Soup soup;
    if (!read(argv[i], soup)) {
      std::fprintf(stderr, "%s: no OFF or binary STL file of triangles\n", argv[i]);
      return 1;
    }
    int flat = 0;
    for (const Triangle &t : soup.triangles)
      if (CGAL::collinear(soup.points[t[0]], soup.points[t[1]], soup.points[t[2]])) flat++;
    std::string name = argv[i];
    name = name.substr(name.find_last_of('/') + 1);
    std::cout << name << ": triangles " << soup.triangles.size() << ", bad edges " << bad_edges(soup) << ", flat " << flat;
    if (!PMP::is_polygon_soup_a_polygon_mesh(soup.triangles)) {
      std::cout << ", not a manifold\n";
      continue;
    }
    Mesh mesh;
    PMP::polygon_soup_to_polygon_mesh(soup.points, soup.triangles, mesh);
    std::vector<std::pair<Mesh::Face_index, Mesh::Face_index>> pairs;
    PMP::self_intersections(mesh, std::back_inserter(pairs));
    int crossing = 0, touching = 0;
    for (const auto &p : pairs) (only_touch(mesh, p.first, p.second) ? touching : crossing)++;
    std::cout << ", closed " << (CGAL::is_closed(mesh) ? "yes" : "no") << ", crossing " << crossing << ", touching " << touching;
    if (CGAL::is_closed(mesh) && !soup.triangles.empty()) {
      double volume = CGAL::to_double(PMP::volume(mesh));
      std::cout << ", outward " << (volume > 0 ? "yes" : "no") << ", volume " << std::setprecision(9) << volume;
    }
    std::cout << "\n";
  }
}
