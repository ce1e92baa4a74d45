/* SPDX-License-Identifier: MIT */
#include "keep/nameplates_file.h"

#include "base/language.h"
#include "base/text.h"
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <libxml/parser.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define XML(text) ((const xmlChar *)(text))
#define ROOT "shelf"
#define ELEMENT "nameplate"
#define MOST_BYTES (16u * 1024u * 1024u)
#define LOCK_TRIES 300 /* of 10 ms: an edit takes a few */

/* --- locking and reading --- */

static bool
fail(GError **error, FileErrorCode code, const char *path, const char *what)
{
  g_autofree char *shown = g_filename_display_name(path);
  g_set_error(error, FILE_ERROR, (gint)code, "%s: %s", shown, what);
  return false;
}

/* Beside the file, because the file itself is replaced. -1 with error only while somebody else
 * holds it: a file system without locks must not take the shelf away. */
static bool
take_lock(NameplatesFile *file, GError **error)
{
  g_autofree char *folder = g_path_get_dirname(file->path);
  g_mkdir_with_parents(folder, 0700); /* a failure shows in the write */
  g_autofree char *name = g_strconcat(file->path, ".lock", NULL);
  file->lock = open(name, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
  for (int i = 0; file->lock >= 0 && flock(file->lock, LOCK_EX | LOCK_NB) != 0; i++) {
    if (errno != EWOULDBLOCK && errno != EINTR)
      return true;
    if (i >= LOCK_TRIES)
      return fail(error, FILE_ERROR_WRITE, file->path,
                  _("another Doorsheet is writing to this shelf of nameplates; try again"));
    g_usleep(10000);
  }
  return true;
}

static bool
read_bytes(const char *path, char **data, gsize *size, GError **error)
{
  struct stat info;
  g_autoptr(GError) why = NULL;
  if (stat(path, &info) == 0 && !S_ISREG(info.st_mode))
    return fail(error, FILE_ERROR_OPEN, path, _("this is no file; choose a shelf of nameplates"));
  if (stat(path, &info) == 0 && info.st_size > (off_t)MOST_BYTES)
    return fail(error, FILE_ERROR_OPEN, path,
                _("is larger than 16 MiB; no shelf of nameplates is, so this is another file"));
  if (g_file_get_contents(path, data, size, &why))
    return true;
  return fail(error, FILE_ERROR_OPEN, path, why->message);
}

static bool
check_root(const NameplatesFile *file, GError **error)
{
  if (file->root == NULL || file->root->ns == NULL || strcmp((char *)file->root->name, ROOT) != 0 ||
      strcmp((char *)file->root->ns->href, NAMEPLATES_NAMESPACE) != 0)
    return fail(error, FILE_ERROR_FORMAT, file->path,
                _("this is no shelf of nameplates; choose a file that Doorsheet exported as one "
                  "(" NAMEPLATES_SUFFIX ")"));
  xmlChar *version = xmlGetNoNsProp(file->root, XML("version"));
  guint64 number = 0;
  bool known = version != NULL &&
               g_ascii_string_to_unsigned((char *)version, 10, 1, G_MAXUINT32, &number, NULL);
  xmlFree(version);
  if (!known)
    return fail(error, FILE_ERROR_FORMAT, file->path,
                _("this shelf of nameplates does not say which version of the form it has"));
  if (number > NAMEPLATES_VERSION)
    return fail(error, FILE_ERROR_NEWER, file->path,
                _("this shelf of nameplates was written by a newer Doorsheet; update Doorsheet to "
                  "use it. Nothing in it was changed"));
  guint n = 0;
  for (xmlNodePtr node = nameplates_file_first(file); node; node = nameplates_file_next(node))
    n++;
  if (n > NAMEPLATES_MOST)
    return fail(error, FILE_ERROR_FORMAT, file->path,
                _("there are more than 2000 nameplates in this shelf; split it over several"));
  return true;
}

static void name_all(NameplatesFile *file);

/* No entities, nothing fetched: as the reader of sheets. */
static bool
parse(NameplatesFile *file, const char *data, gsize size, GError **error)
{
  xmlParserCtxtPtr parser = xmlNewParserCtxt();
  if (parser == NULL)
    g_error("out of memory while reading a shelf of nameplates");
  file->tree = xmlCtxtReadMemory(parser, data, (int)size, NULL, NULL,
                                 XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING |
                                     XML_PARSE_NOBLANKS | XML_PARSE_NOCDATA);
  const xmlError *wrong = xmlCtxtGetLastError(parser);
  bool good = file->tree != NULL && file->tree->intSubset == NULL;
  if (!good) {
    g_autofree char *place =
        g_strdup_printf(_("is damaged at line %d and cannot be used as it is. Nothing in it was "
                          "changed"),
                        wrong != NULL ? MAX(wrong->line, 1) : 1);
    fail(error, FILE_ERROR_XML, file->path, place);
  }
  xmlFreeParserCtxt(parser);
  if (!good)
    return false;
  file->root = xmlDocGetRootElement(file->tree);
  if (!check_root(file, error))
    return false;
  name_all(file);
  return true;
}

static NameplatesFile *
bare(const char *path)
{
  NameplatesFile *file = g_new0(NameplatesFile, 1);
  file->path = g_strdup(path);
  file->lock = -1;
  return file;
}

static void
make_tree(NameplatesFile *file)
{
  file->tree = xmlNewDoc(XML("1.0"));
  file->root = xmlNewDocNode(file->tree, NULL, XML(ROOT), NULL);
  xmlDocSetRootElement(file->tree, file->root);
  xmlSetNs(file->root, xmlNewNs(file->root, XML(NAMEPLATES_NAMESPACE), NULL));
  g_autofree char *version = g_strdup_printf("%d", NAMEPLATES_VERSION);
  xmlNewProp(file->root, XML("version"), XML(version));
}

NameplatesFile *
nameplates_file_new(const char *path)
{
  NameplatesFile *file = bare(path);
  make_tree(file);
  return file;
}

NameplatesFile *
nameplates_file_open(const char *path, bool lock, GError **error)
{
  g_autoptr(NameplatesFile) file = bare(path);
  if (lock && !take_lock(file, error))
    return NULL;
  if (g_access(path, F_OK) != 0 && errno == ENOENT) {
    make_tree(file);
    return g_steal_pointer(&file);
  }
  g_autofree char *data = NULL;
  gsize size = 0;
  if (!read_bytes(path, &data, &size, error) || !parse(file, data, size, error))
    return NULL;
  return g_steal_pointer(&file);
}

void
nameplates_file_free(NameplatesFile *file)
{
  if (file == NULL)
    return;
  for (xmlNodePtr node = file->root != NULL ? nameplates_file_first(file) : NULL; node != NULL;
       node = nameplates_file_next(node))
    g_clear_pointer(&node->_private, g_free);
  if (file->tree != NULL)
    xmlFreeDoc(file->tree);
  if (file->lock >= 0)
    close(file->lock); /* lets go of the lock */
  g_free(file->path);
  g_free(file);
}

bool
nameplates_file_write(const NameplatesFile *file, GError **error)
{
  xmlChar *text = NULL;
  int size = 0;
  xmlDocDumpFormatMemoryEnc(file->tree, &text, &size, "UTF-8", 1);
  if (text == NULL)
    g_error("out of memory while writing a shelf of nameplates");
  bool good = file_write_atomic(file->path, text, (gsize)size, error);
  xmlFree(text);
  return good;
}

/* --- nameplates in the tree --- */

static xmlNodePtr
nameplate_from(xmlNodePtr node)
{
  while (node != NULL &&
         (node->type != XML_ELEMENT_NODE || strcmp((const char *)node->name, ELEMENT) != 0))
    node = node->next;
  return node;
}

xmlNodePtr
nameplates_file_first(const NameplatesFile *file)
{
  return nameplate_from(file->root->children);
}

xmlNodePtr
nameplates_file_next(xmlNodePtr node)
{
  return nameplate_from(node->next);
}

/* As written, but fit for one line of a list. */
static char *
plain_name(xmlNodePtr node)
{
  xmlChar *name = xmlGetNoNsProp(node, XML("name"));
  char *clean = text_clean(name != NULL ? (const char *)name : "", NAMEPLATES_NAME_LETTERS);
  xmlFree(name);
  g_strstrip(clean);
  if (*clean != '\0')
    return clean;
  g_free(clean);
  return g_strdup(_("without a name"));
}

/* Names lie beside the nodes, so that a long shelf is read in one pass. */
static void
name_all(NameplatesFile *file)
{
  g_autoptr(GHashTable) counts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (xmlNodePtr node = nameplates_file_first(file); node; node = nameplates_file_next(node)) {
    char *name = plain_name(node);
    guint earlier = GPOINTER_TO_UINT(g_hash_table_lookup(counts, name));
    g_hash_table_insert(counts, g_strdup(name), GUINT_TO_POINTER(earlier + 1));
    node->_private = earlier == 0 ? g_strdup(name) : g_strdup_printf("%s (%u)", name, earlier + 1);
    g_free(name);
  }
}

const char *
nameplates_file_name(xmlNodePtr node)
{
  return node->_private;
}

xmlNodePtr
nameplates_file_find(const NameplatesFile *file, const char *name)
{
  xmlNodePtr node = nameplates_file_first(file);
  while (node != NULL && strcmp(nameplates_file_name(node), name) != 0)
    node = nameplates_file_next(node);
  return node;
}

void
nameplates_file_set_name(xmlNodePtr node, const char *name)
{
  xmlSetProp(node, XML("name"), XML(name));
  g_free(node->_private);
  node->_private = g_strdup(name);
}

void
nameplates_file_remove(xmlNodePtr node)
{
  g_clear_pointer(&node->_private, g_free);
  xmlUnlinkNode(node);
  xmlFreeNode(node);
}

/* The <doorsheet> in a nameplate; NULL: there is none. */
static xmlNodePtr
sheet_of(xmlNodePtr node)
{
  return xmlFirstElementChild(node);
}

Device *
nameplates_file_read(xmlNodePtr node, const char *name, PartCatalog catalog, GError **error)
{
  xmlNodePtr sheet = sheet_of(node);
  if (sheet == NULL) {
    fail(error, FILE_ERROR_FORMAT, name, _("this nameplate is empty"));
    return NULL;
  }
  xmlDocPtr alone = xmlNewDoc(XML("1.0"));
  xmlDocSetRootElement(alone, xmlDocCopyNode(sheet, alone, 1));
  xmlChar *text = NULL;
  int size = 0;
  xmlDocDumpMemory(alone, &text, &size);
  xmlFreeDoc(alone);
  g_autoptr(Document) document =
      document_read_memory((const char *)text, (gsize)size, name, catalog, error);
  xmlFree(text);
  if (document == NULL)
    return NULL;
  if (document_device_count(document) != 1) {
    fail(error, FILE_ERROR_MEANING, name, _("a nameplate is that of one device"));
    return NULL;
  }
  return edit_dup_nameplate(document_device(document, 0));
}

/* The device as the only one on a sheet, read back as a tree: the writer of sheets writes it. */
static xmlDocPtr
sheet_with(const Device *device, GError **error)
{
  const PartKind *catalog[] = {device->kind, NULL};
  g_autoptr(Document) document = document_new(catalog);
  g_autoptr(Device) nameplate = edit_dup_nameplate(device);
  Change *change = change_new("nameplate");
  change_device(change, NULL, nameplate);
  if (!document_apply(document, change, error))
    return NULL;
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  return xmlReadMemory(data, (int)size, NULL, NULL, XML_PARSE_NONET | XML_PARSE_NOBLANKS);
}

static xmlNodePtr
append(NameplatesFile *file, const char *name)
{
  xmlNodePtr node = xmlNewChild(file->root, file->root->ns, XML(ELEMENT), NULL);
  nameplates_file_set_name(node, name);
  return node;
}

bool
nameplates_file_put(NameplatesFile *file, xmlNodePtr into, const char *name, const Device *device,
                    GError **error)
{
  xmlDocPtr sheet = sheet_with(device, error);
  if (sheet == NULL)
    return false;
  xmlNodePtr node = into != NULL ? into : append(file, name);
  while (node->children != NULL) {
    xmlNodePtr child = node->children;
    xmlUnlinkNode(child);
    xmlFreeNode(child);
  }
  xmlAddChild(node, xmlDocCopyNode(xmlDocGetRootElement(sheet), file->tree, 1));
  xmlFreeDoc(sheet);
  return true;
}

void
nameplates_file_copy(NameplatesFile *file, xmlNodePtr node, const char *name)
{
  xmlNodePtr mine = append(file, name);
  if (sheet_of(node) != NULL)
    xmlAddChild(mine, xmlDocCopyNode(sheet_of(node), file->tree, 1));
}
