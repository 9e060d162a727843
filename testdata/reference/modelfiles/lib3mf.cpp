// Reads and writes 3MF files with lib3mf, a library of the 3MF Consortium.
//
//   lib3mf read FILE...     one line an object as built: name, counts, whether closed and oriented, volume, box (mm in file units)
//   lib3mf write FOLDER     sample files whose content SOURCE.md tells
//
// Build: g++ -std=c++14 -O1 -I/usr/include/lib3mf lib3mf.cpp -l3MF
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

#include "Model/COM/NMR_DLLInterfaces.h"

using namespace NMR;
typedef std::array<double, 12> Matrix; // rows of x' = M x

static void need(LIB3MFRESULT r, const char* what, PLib3MFBase* who = nullptr) {
    if (r == LIB3MF_OK) return;
    DWORD code = 0;
    LPCSTR text = nullptr;
    if (who) lib3mf_getlasterror(who, &code, &text);
    std::printf("FAILED %s: %x %s\n", what, (unsigned)r, text ? text : "");
    std::exit(1);
}

static Matrix identity() { return {1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}; }

static Matrix from(const MODELTRANSFORM& t) {
    Matrix m;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 4; j++) m[4 * i + j] = t.m_fFields[i][j];
    return m;
}

static Matrix after(const Matrix& a, const Matrix& b) { // b first
    Matrix m;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 4; j++) {
            m[4 * i + j] = j == 3 ? a[4 * i + 3] : 0;
            for (int k = 0; k < 3; k++) m[4 * i + j] += a[4 * i + k] * b[4 * k + j];
        }
    return m;
}

static std::string name(PLib3MFModelObjectResource* o) {
    char b[500];
    ULONG n = 0;
    need(lib3mf_object_getnameutf8(o, b, sizeof b, &n), "name", o);
    return std::string(b, n);
}

static void show(PLib3MFModel* model, PLib3MFModelObjectResource* o, const Matrix& at, const std::string& indent) {
    BOOL is_mesh;
    need(lib3mf_object_ismeshobject(o, &is_mesh), "kind", o);
    if (!is_mesh) {
        DWORD n;
        std::printf("%s%s:\n", indent.c_str(), name(o).c_str());
        need(lib3mf_componentsobject_getcomponentcount(o, &n), "components", o);
        for (DWORD i = 0; i < n; i++) {
            PLib3MFModelComponent* c;
            PLib3MFModelObjectResource* sub;
            MODELTRANSFORM t;
            need(lib3mf_componentsobject_getcomponent(o, i, &c), "component", o);
            need(lib3mf_component_getobjectresource(c, &sub), "component object", c);
            need(lib3mf_component_gettransform(c, &t), "component transform", c);
            show(model, sub, after(at, from(t)), indent + "  ");
        }
        return;
    }
    DWORD nv, nt;
    BOOL closed;
    need(lib3mf_meshobject_getvertexcount(o, &nv), "vertices", o);
    need(lib3mf_meshobject_gettrianglecount(o, &nt), "triangles", o);
    need(lib3mf_meshobject_ismanifoldandoriented(o, &closed), "manifold", o);
    std::vector<std::array<double, 3>> v(nv);
    double lo[3] = {1e300, 1e300, 1e300}, hi[3] = {-1e300, -1e300, -1e300}, six = 0;
    for (DWORD i = 0; i < nv; i++) {
        MODELMESHVERTEX p;
        need(lib3mf_meshobject_getvertex(o, i, &p), "vertex", o);
        for (int k = 0; k < 3; k++) {
            v[i][k] = at[4 * k] * p.m_fPosition[0] + at[4 * k + 1] * p.m_fPosition[1] + at[4 * k + 2] * p.m_fPosition[2] + at[4 * k + 3];
            lo[k] = std::fmin(lo[k], v[i][k]);
            hi[k] = std::fmax(hi[k], v[i][k]);
        }
    }
    for (DWORD i = 0; i < nt; i++) {
        MODELMESHTRIANGLE t;
        need(lib3mf_meshobject_gettriangle(o, i, &t), "triangle", o);
        auto &a = v[t.m_nIndices[0]], &b = v[t.m_nIndices[1]], &c = v[t.m_nIndices[2]];
        six += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
    }
    std::printf("%s%s: %u vertices, %u triangles, %s, volume %.3f, from %.3f %.3f %.3f to %.3f %.3f %.3f\n", indent.c_str(), name(o).c_str(),
        (unsigned)nv, (unsigned)nt, closed ? "closed and oriented" : "OPEN", six / 6, lo[0] + 0.0, lo[1] + 0.0, lo[2] + 0.0, hi[0] + 0.0, hi[1] + 0.0, hi[2] + 0.0);
}

static void read(const char* file) {
    PLib3MFModel* model;
    PLib3MFModelReader* reader;
    need(lib3mf_createmodel(&model), "model");
    need(lib3mf_model_queryreader(model, "3mf", &reader), "reader", model);
    need(lib3mf_reader_setstrictmodeactive(reader, true), "strict", reader);
    need(lib3mf_reader_readfromfileutf8(reader, file), file, reader);
    DWORD warnings, unit, n;
    need(lib3mf_reader_getwarningcount(reader, &warnings), "warnings", reader);
    need(lib3mf_model_getunit(model, &unit), "unit", model);
    const char* base = std::strrchr(file, '/');
    std::printf("%s: strict reading, %u warnings, unit %s\n", base ? base + 1 : file, (unsigned)warnings, unit == MODELUNIT_MILLIMETER ? "millimeter" : "other");
    for (DWORD i = 0; i < warnings; i++) {
        char b[500];
        DWORD code;
        ULONG len;
        lib3mf_reader_getwarningutf8(reader, i, &code, b, sizeof b, &len);
        std::printf("  warning %x %s\n", (unsigned)code, b);
    }
    need(lib3mf_model_getmetadatacount(model, &n), "metadata", model);
    for (DWORD i = 0; i < n; i++) {
        char k[500], w[500];
        ULONG len;
        need(lib3mf_model_getmetadatakeyutf8(model, i, k, sizeof k, &len), "key", model);
        need(lib3mf_model_getmetadatavalueutf8(model, i, w, sizeof w, &len), "value", model);
        std::printf("  %s = %s\n", k, w);
    }
    PLib3MFModelBuildItemIterator* it;
    need(lib3mf_model_getbuilditems(model, &it), "build", model);
    for (BOOL more; lib3mf_builditemiterator_movenext(it, &more) == LIB3MF_OK && more;) {
        PLib3MFModelBuildItem* item;
        PLib3MFModelObjectResource* o;
        MODELTRANSFORM t;
        need(lib3mf_builditemiterator_getcurrent(it, &item), "item", it);
        need(lib3mf_builditem_getobjectresource(item, &o), "item object", item);
        need(lib3mf_builditem_getobjecttransform(item, &t), "item transform", item);
        show(model, o, from(t), "  ");
    }
}

// box adds an axis-aligned box from the origin to (x, y, z), outward facing.
static PLib3MFModelMeshObject* box(PLib3MFModel* model, const char* label, float x, float y, float z) {
    PLib3MFModelMeshObject* o;
    need(lib3mf_model_addmeshobject(model, &o), "mesh", model);
    need(lib3mf_object_setnameutf8(o, label), "name", o);
    for (int i = 0; i < 8; i++) {
        MODELMESHVERTEX v = {{i & 1 ? x : 0, i & 2 ? y : 0, i & 4 ? z : 0}};
        need(lib3mf_meshobject_addvertex(o, &v, nullptr), "vertex", o);
    }
    const DWORD quads[6][4] = {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}};
    for (auto& q : quads) {
        MODELMESHTRIANGLE a = {{q[0], q[1], q[2]}}, b = {{q[0], q[2], q[3]}};
        need(lib3mf_meshobject_addtriangle(o, &a, nullptr), "triangle", o);
        need(lib3mf_meshobject_addtriangle(o, &b, nullptr), "triangle", o);
    }
    return o;
}

static void save(PLib3MFModel* model, const std::string& file) {
    PLib3MFModelWriter* w;
    need(lib3mf_model_querywriter(model, "3mf", &w), "writer", model);
    need(lib3mf_writer_writetofileutf8(w, file.c_str()), file.c_str(), w);
}

static void write(const std::string& folder) {
    PLib3MFModel* model;
    PLib3MFModelBuildItem* item;
    PLib3MFModelComponent* c;
    need(lib3mf_createmodel(&model), "model");
    need(lib3mf_model_setunit(model, MODELUNIT_INCH), "unit", model);
    need(lib3mf_model_addmetadatautf8(model, "Title", "Sample of two"), "metadata", model);
    PLib3MFModelMeshObject* plank = box(model, "plank", 1, 2, 3);
    PLib3MFModelMeshObject* peg = box(model, "peg", 0.5, 0.5, 0.5);
    // x' = -y + 10, y' = x + 20, z' = z + 30: a quarter turn about z and a shift
    MODELTRANSFORM turn = {{{0, -1, 0, 10}, {1, 0, 0, 20}, {0, 0, 1, 30}}};
    MODELTRANSFORM shift = {{{1, 0, 0, 4}, {0, 1, 0, 0}, {0, 0, 1, 0}}};
    MODELTRANSFORM none = {{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}}};
    PLib3MFModelComponentsObject* both;
    need(lib3mf_model_addcomponentsobject(model, &both), "components", model);
    need(lib3mf_object_setnameutf8(both, "both"), "name", both);
    need(lib3mf_componentsobject_addcomponent(both, plank, &none, &c), "component", both);
    need(lib3mf_componentsobject_addcomponent(both, peg, &shift, &c), "component", both);
    need(lib3mf_model_addbuilditem(model, both, &turn, &item), "item", model);
    need(lib3mf_model_addbuilditem(model, peg, &none, &item), "item", model);
    save(model, folder + "/components-inch.3mf");
}

int main(int argc, char** argv) {
    if (argc == 3 && !std::strcmp(argv[1], "write")) {
        write(argv[2]);
        return 0;
    }
    for (int i = 2; i < argc; i++) read(argv[i]);
    return argc < 3;
}
