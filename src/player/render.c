/* The pane's pictures: one thread renders, three buffers pass them on without waiting. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "player/inside.h"

enum { ALIGN = 64, PANE_WIDTH = 320, PANE_HEIGHT = 180, PANE_MAX = 8192 };

static void picture_shape(struct picture *pic, int width, int height)
{
    const size_t stride = ((size_t)width * 4 + ALIGN - 1) / ALIGN * ALIGN;
    /* libmpv may write past the end of the last row, up to its stride. */
    const size_t need = stride * (size_t)height + ALIGN;
    if (need > pic->capacity) {
        free(pic->rgba);
        pic->rgba = aligned_alloc(ALIGN, (need + ALIGN - 1) / ALIGN * ALIGN);
        if (!pic->rgba)
            abort();
        pic->capacity = need;
    }
    pic->stride = stride;
    pic->width = width;
    pic->height = height;
}

static void picture_swap(struct picture *a, struct picture *b)
{
    const struct picture t = *a;
    *a = *b;
    *b = t;
}

/* Turns src clockwise by 90, 180 or 270 degrees. */
static void picture_turn(struct picture *dst, const struct picture *src, int degrees)
{
    const int w = src->width, h = src->height;
    picture_shape(dst, degrees % 180 ? h : w, degrees % 180 ? w : h);
    for (int y = 0; y < dst->height; y++) {
        uint32_t *row = (uint32_t *)(void *)(dst->rgba + (size_t)y * dst->stride);
        for (int x = 0; x < dst->width; x++) {
            const int sx = degrees == 90 ? y : degrees == 180 ? w - 1 - x : w - 1 - y;
            const int sy = degrees == 90 ? h - 1 - x : degrees == 180 ? h - 1 - y : x;
            memcpy(&row[x], src->rgba + (size_t)sy * src->stride + (size_t)sx * 4, 4);
        }
    }
}

/* A picture of the clip, not the old one drawn again? Then *due is when libmpv meant it to show. */
static bool is_new_picture(mpv_render_context *context, int64_t *due)
{
    mpv_render_frame_info info = {0};
    mpv_render_param ask = {MPV_RENDER_PARAM_NEXT_FRAME_INFO, &info};
    if (mpv_render_context_get_info(context, ask) < 0)
        return false;
    *due = info.target_time;
    const uint64_t old = MPV_RENDER_FRAME_INFO_REDRAW | MPV_RENDER_FRAME_INFO_REPEAT;
    return (info.flags & MPV_RENDER_FRAME_INFO_PRESENT) && !(info.flags & old);
}

static bool render(mpv_render_context *context, struct picture *pic)
{
    int size[2] = {pic->width, pic->height}, block = 0;
    mpv_render_param params[] = {
        {MPV_RENDER_PARAM_SW_SIZE, size},
        {MPV_RENDER_PARAM_SW_FORMAT, (void *)(uintptr_t) "rgba"},
        {MPV_RENDER_PARAM_SW_STRIDE, &pic->stride},
        {MPV_RENDER_PARAM_SW_POINTER, pic->rgba},
        {MPV_RENDER_PARAM_BLOCK_FOR_TARGET_TIME, &block},
        {MPV_RENDER_PARAM_INVALID, NULL},
    };
    return mpv_render_context_render(context, params) >= 0;
}

/* Renders at the given size; the finished picture, upright, is in pane->back. */
static bool draw(struct pane *pane, int width, int height, int rotation)
{
    const bool swap = rotation % 180 != 0;
    picture_shape(&pane->back, swap ? height : width, swap ? width : height);
    if (!render(pane->context, &pane->back))
        return false;
    if (rotation == 0)
        return true;
    picture_turn(&pane->upright, &pane->back, rotation);
    picture_swap(&pane->upright, &pane->back);
    return true;
}

/* Called with the lock held; releases it while rendering. */
static void pane_work(struct pane *pane)
{
    const bool updated = pane->updated, redraw = pane->redraw;
    const int width = pane->width, height = pane->height, rotation = pane->rotation;
    pane->updated = pane->redraw = false;
    pthread_mutex_unlock(&pane->lock);

    bool wanted = redraw, fresh = false, drawn = false;
    int64_t due = 0;
    if (updated)
        wanted |= (mpv_render_context_update(pane->context) & MPV_RENDER_UPDATE_FRAME) != 0;
    if (wanted) {
        fresh = is_new_picture(pane->context, &due);
        drawn = draw(pane, width, height, rotation);
    }

    pthread_mutex_lock(&pane->lock);
    if (!wanted)
        return;
    if (fresh)
        pane->due[++pane->serial % DUE_RING] = due;
    if (drawn && rotation == pane->rotation) {
        pane->back.serial = pane->serial;
        picture_swap(&pane->back, &pane->ready);
        pane->ready_new = true;
    }
    wake(pane->wake_fd);
}

static void *pane_thread(void *arg)
{
    struct pane *pane = arg;
    pthread_mutex_lock(&pane->lock);
    while (!pane->stop) {
        if (pane->updated || pane->redraw)
            pane_work(pane);
        else
            pthread_cond_wait(&pane->poke, &pane->lock);
    }
    pthread_mutex_unlock(&pane->lock);
    return NULL;
}

static void on_update(void *arg)
{
    struct pane *pane = arg;
    pthread_mutex_lock(&pane->lock);
    pane->updated = true;
    pthread_cond_signal(&pane->poke);
    pthread_mutex_unlock(&pane->lock);
}

void pane_init(struct pane *pane, int wake_fd)
{
    *pane = (struct pane){.width = PANE_WIDTH, .height = PANE_HEIGHT, .wake_fd = wake_fd};
    pthread_mutex_init(&pane->lock, NULL);
    pthread_cond_init(&pane->poke, NULL);
}

void pane_free(struct pane *pane)
{
    struct picture *all[] = {&pane->ready, &pane->back, &pane->upright, &pane->offered,
                             &pane->held};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        free(all[i]->rgba);
    pthread_cond_destroy(&pane->poke);
    pthread_mutex_destroy(&pane->lock);
}

bool pane_start(struct pane *pane, mpv_handle *mpv, struct err *e)
{
    mpv_render_param params[] = {
        {MPV_RENDER_PARAM_API_TYPE, (void *)(uintptr_t)MPV_RENDER_API_TYPE_SW},
        {MPV_RENDER_PARAM_INVALID, NULL},
    };
    int rc = mpv_render_context_create(&pane->context, mpv, params);
    if (rc < 0)
        return err_set(e, ERR_FAILED, "the picture cannot be drawn: %s", mpv_error_string(rc));
    pane->stop = pane->updated = pane->redraw = false;
    if (pthread_create(&pane->thread, NULL, pane_thread, pane) != 0) {
        mpv_render_context_free(pane->context);
        pane->context = NULL;
        return err_set(e, ERR_FAILED, "the picture cannot be drawn: no thread to be had");
    }
    pane->running = true;
    mpv_render_context_set_update_callback(pane->context, on_update, pane);
    return true;
}

void pane_stop(struct pane *pane)
{
    if (!pane->running)
        return;
    pthread_mutex_lock(&pane->lock);
    pane->stop = true;
    pthread_cond_signal(&pane->poke);
    pthread_mutex_unlock(&pane->lock);
    pthread_join(pane->thread, NULL);
    mpv_render_context_free(pane->context);
    pane->context = NULL;
    pane->running = false;
}

void pane_rotate(struct pane *pane, int degrees)
{
    pthread_mutex_lock(&pane->lock);
    if (pane->rotation != degrees) {
        pane->rotation = degrees;
        pane->ready_new = false;
        pane->redraw = pane->running;
        pthread_cond_signal(&pane->poke);
    }
    pthread_mutex_unlock(&pane->lock);
}

int pane_since(struct pane *pane, int64_t since)
{
    int n = 0;
    pthread_mutex_lock(&pane->lock);
    for (int64_t i = pane->serial; i > 0 && i > pane->serial - DUE_RING; i--)
        n += pane->due[i % DUE_RING] >= since;
    if (!pane->ready_new) /* it is being drawn again, upright */
        n = 0;
    pthread_mutex_unlock(&pane->lock);
    return n;
}

bool pane_offer(struct pane *pane, int64_t at_us)
{
    pthread_mutex_lock(&pane->lock);
    const bool fresh = pane->ready_new;
    if (fresh)
        picture_swap(&pane->ready, &pane->offered);
    pane->ready_new = false;
    pthread_mutex_unlock(&pane->lock);
    if (!fresh)
        return false;
    pane->offered_new = true;
    pane->offered_at_us = at_us;
    return true;
}

void pane_drop(struct pane *pane)
{
    pthread_mutex_lock(&pane->lock);
    pane->ready_new = false;
    pthread_mutex_unlock(&pane->lock);
    pane->offered_new = false;
}

void player_pane_size(struct player *p, int width, int height)
{
    struct pane *pane = &p->pane;
    width = width < 1 ? 1 : width > PANE_MAX ? PANE_MAX : width;
    height = height < 1 ? 1 : height > PANE_MAX ? PANE_MAX : height;
    pthread_mutex_lock(&pane->lock);
    if (pane->width != width || pane->height != height) {
        pane->width = width;
        pane->height = height;
        pane->redraw = pane->running && p->now.status == PLAYER_READY;
        pthread_cond_signal(&pane->poke);
    }
    pthread_mutex_unlock(&pane->lock);
}

bool player_frame(struct player *p, struct player_frame *out)
{
    struct pane *pane = &p->pane;
    if (!pane->offered_new)
        return false;
    picture_swap(&pane->offered, &pane->held);
    pane->offered_new = false;
    *out = (struct player_frame){
        .rgba = pane->held.rgba,
        .width = pane->held.width,
        .height = pane->held.height,
        .stride = pane->held.stride,
        .at_us = pane->offered_at_us,
        .serial = pane->held.serial,
    };
    return true;
}
