/* Pictures made of characters. */
#include <chafa.h>
#include <stdlib.h>

#include "base/arena.h"
#include "pane/inside.h"

enum { CARE_SKIP = 6, CARE_NEAR = 4, CARE_WORST = 24 };
/* On a slow line a moving picture is made coarser until this many fit a second. */
enum { PICTURES_A_SECOND = 8 };

static void size_cells(const struct pane *p, enum pane_pace pace, int *width, int *height)
{
    (void)pace;
    *width = p->cells.cols;
    *height = 2 * p->cells.rows;
    if (shape_square_halves(p))
        return;
    *width *= 2; /* fine enough to be brought into the cells' shape here */
    *height = 2 * p->cells.rows * shape_cell_height(p) / shape_cell_width(p);
}

static const rgb *halves(const struct pane *p)
{
    return shape_square_halves(p) ? p->cur.px : p->coarse;
}

static void begin_cells(struct pane *p)
{
    if (!shape_square_halves(p))
        shape_coarse(p);
    if (p->caps.colors == TERM_NONE) {
        cells_shades(&p->cells, halves(p), p->grid);
        return;
    }
    p->care = (struct cells_care){0};
    if (p->cur.pace == PANE_STILL)
        return;
    int64_t most = p->purse;
    if (p->wire.rate_bps > 0 && p->wire.rate_bps / PICTURES_A_SECOND < most)
        most = p->wire.rate_bps / PICTURES_A_SECOND;
    p->care.near = CARE_NEAR;
    p->care.skip = cells_skip_for(&p->cells, halves(p), CARE_SKIP, CARE_WORST, (size_t)most);
}

static bool step_cells(struct pane *p, struct brush *b)
{
    const bool done = p->caps.colors == TERM_NONE
                          ? cells_grid(&p->cells, p->grid, &p->at, b)
                          : cells_halves(&p->cells, halves(p), p->care, &p->at, b);
    if (done)
        images_off(p, b->out);
    return done;
}

const struct drawer draw_cells = {false, size_cells, begin_cells, step_cells};

/* chafa looks at 8 x 8 points of a cell. */
static void size_symbols(const struct pane *p, enum pane_pace pace, int *width, int *height)
{
    (void)pace;
    *width = 8 * p->cells.cols;
    *height = 8 * p->cells.rows * shape_cell_height(p) / shape_cell_width(p);
}

static ChafaCanvas *canvas_for(const struct pane *p)
{
    static const ChafaCanvasMode modes[] = {[TERM_NONE] = CHAFA_CANVAS_MODE_FGBG,
                                            [TERM_16] = CHAFA_CANVAS_MODE_INDEXED_16,
                                            [TERM_256] = CHAFA_CANVAS_MODE_INDEXED_240,
                                            [TERM_TRUECOLOR] = CHAFA_CANVAS_MODE_TRUECOLOR};
    ChafaSymbolMap *symbols = chafa_symbol_map_new();
    chafa_symbol_map_add_by_tags(symbols, CHAFA_SYMBOL_TAG_SPACE | CHAFA_SYMBOL_TAG_SOLID |
                                              CHAFA_SYMBOL_TAG_HALF | CHAFA_SYMBOL_TAG_QUAD |
                                              CHAFA_SYMBOL_TAG_BLOCK);
    ChafaCanvasConfig *config = chafa_canvas_config_new();
    chafa_canvas_config_set_geometry(config, p->cells.cols, p->cells.rows);
    chafa_canvas_config_set_canvas_mode(config, modes[p->caps.colors]);
    chafa_canvas_config_set_symbol_map(config, symbols);
    chafa_canvas_config_set_work_factor(config, 0.5f);
    chafa_canvas_config_set_preprocessing_enabled(config, FALSE);
    ChafaCanvas *canvas = chafa_canvas_new(config);
    chafa_canvas_config_unref(config);
    chafa_symbol_map_unref(symbols);
    return canvas;
}

static ink ink_from(const struct pane *p, gint raw)
{
    if (raw < 0)
        return INK_OWN;
    return p->caps.colors == TERM_TRUECOLOR ? (ink)raw & 0xffffff : INK_INDEX | ((ink)raw & 0xff);
}

static void begin_symbols(struct pane *p)
{
    const struct picture *c = &p->cur;
    const size_t n = (size_t)c->width * (size_t)c->height;
    uint8_t *bytes = xrealloc(NULL, n * 3);
    rgb_pack(bytes, c->px, n);
    ChafaCanvas *canvas = canvas_for(p);
    chafa_canvas_draw_all_pixels(canvas, CHAFA_PIXEL_RGB8, bytes, c->width, c->height,
                                 c->width * 3);
    free(bytes);
    for (int i = 0; i < p->cells.rows * p->cells.cols; i++) {
        const int x = i % p->cells.cols, y = i / p->cells.cols;
        gint fg, bg;
        chafa_canvas_get_raw_colors_at(canvas, x, y, &fg, &bg);
        const gunichar glyph = chafa_canvas_get_char_at(canvas, x, y);
        p->grid[i] = patch_of(glyph ? glyph : ' ', ink_from(p, fg), ink_from(p, bg));
    }
    chafa_canvas_unref(canvas);
}

static bool step_symbols(struct pane *p, struct brush *b)
{
    const bool done = cells_grid(&p->cells, p->grid, &p->at, b);
    if (done)
        images_off(p, b->out);
    return done;
}

const struct drawer draw_symbols = {false, size_symbols, begin_symbols, step_symbols};
