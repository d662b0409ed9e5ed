#include "sheet/pdf.h"

#include "base/buf.h"

static void fonts_are_embedded(const char *pdf)
{
    const char *table = well(run("pdffonts", pdf, NULL)).out;
    const char *rule = strchr(table, '\n');
    assert_non_null(rule);
    size_t fonts = 0;
    for (const char *line = strchr(rule + 1, '\n'); line && line[1];
         line = strchr(line + 1, '\n')) {
        /* "... encoding  emb sub uni object ID": the last five words */
        char row[200], *word[20] = {0};
        size_t n = 0;
        snprintf(row, sizeof row, "%.*s", (int)strcspn(line + 1, "\n"), line + 1);
        for (char *w = strtok(row, " "); w && n < 20; w = strtok(NULL, " "))
            word[n++] = w;
        assert_true(n > 6);
        if (strcmp(word[n - 5], "yes") != 0 || strcmp(word[n - 3], "yes") != 0)
            fail_msg("a font is not embedded, or its text cannot be copied: %s", table);
        fonts++;
    }
    assert_true(fonts > 0);
    assert_lacks(table, "Type 3");
}

const char *sheet_whole(struct run r)
{
    assert_exit(r, 0);
    assert_string_equal(r.err, "");
    assert_true(r.out_n > 5 && memcmp(r.out, "%PDF-", 5) == 0);
    const char *pdf = write_bytes(temp_dir(), "sheet.pdf", r.out, r.out_n);
    well(run("qpdf", "--check", pdf, NULL));
    fonts_are_embedded(pdf);
    return pdf;
}

const char *pdf_info(const char *pdf, const char *key)
{
    const char *all = well(run("pdfinfo", pdf, NULL)).out, *at = strstr(all, say("%s:", key));
    if (!at)
        fail_msg("no %s in %s", key, all);
    at += strlen(key) + 1;
    at += strspn(at, " ");
    return say("%.*s", (int)strcspn(at, "\n"), at);
}

int pdf_pages(const char *pdf)
{
    return atoi(pdf_info(pdf, "Pages"));
}

const char *pdf_words(const char *pdf, int page)
{
    const char *n = say("%d", page ? page : 9999);
    const char *text =
        run("pdftotext", "-layout", "-f", page ? n : "1", "-l", n, pdf, "-", NULL).out;
    struct buf kept = {0};
    for (const char *s = text; *s; s++) {
        if (strncmp(s, "\xe2\x80", 2) == 0 && (unsigned char)s[2] >= 0x8e &&
            (unsigned char)s[2] <= 0xae)
            if ((unsigned char)s[2] <= 0x8f || (unsigned char)s[2] >= 0xaa) {
                s += 2;
                continue;
            }
        if (strncmp(s, "\xc2\xa0", 2) == 0) /* no-break space */
            s++;
        buf_char(&kept, strchr(" \n\f", *s) || *s == '\xa0' ? ' ' : *s);
    }
    const char *words = flat(buf_text(&kept));
    buf_free(&kept);
    return words;
}

void in_order(const char *words, ...)
{
    va_list list;
    const char *at = words, *text;
    va_start(list, words);
    while ((text = va_arg(list, const char *))) {
        const char *found = strstr(at, text);
        if (!found)
            fail_msg("'%s' is not %s in: %s", text, strstr(words, text) ? "in its place" : "there",
                     words);
        at = found + strlen(text);
    }
    va_end(list);
}

const char *pdf_codes(const char *pdf)
{
    const char *dir = temp_dir();
    well(run("pdftoppm", "-r", "150", "-png", pdf, path_in(dir, "page"), NULL));
    return run("sh", "-c", say("exec zbarimg -q --raw '%s'/page*.png 2>&2", dir), NULL).out;
}

size_t words_of(const char *pdf, int page, struct word *out, size_t most)
{
    const char *n = say("%d", page),
               *html = well(run("pdftotext", "-bbox", "-f", n, "-l", n, pdf, "-", NULL)).out;
    size_t count = 0;
    for (const char *s = html; (s = strstr(s, "<word ")) && count < most; s++) {
        struct word *w = &out[count];
        count += sscanf(s, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\">%15[^<]",
                        &w->x1, &w->y1, &w->x2, &w->y2, w->text) == 5;
    }
    return count;
}

const char *band_show(void)
{
    static const char *show;
    if (show)
        return show;
    const char *made = new_show(NULL, NULL), *band = getenv("DEMO_BAND");
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    for (size_t i = 0; i < COUNT(tables); i++)
        box_ok("add", made, tables[i], say("%s/%s.csv", band, tables[i]));
    add_clip(made, gray_clip(120), "tuesday", "2026-08-01");
    box_ok("count", made, "tuesday", "tie", "0:01.5", "1");
    box_ok("add", made, "marks", say("%s/marks.csv", band));
    return show = made;
}
