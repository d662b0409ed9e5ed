#include "clip/output.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip/open.h"
#include "sys/file.h"
#include "clip/libav.h"

bool output_failed(const struct output *o, int code, struct err *e)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    const AVIOContext *file = o->mux ? o->mux->pb : NULL;
    const bool disk = file && file->error < 0;
    if (disk)
        code = file->error;
    av_strerror(code, why, sizeof why);
    if (disk || container_disk_failed(code))
        return err_set(e, ERR_FAILED, "%s: cannot write it: %s", o->to, why);
    return err_set(e, ERR_INPUT, "%s: cannot be made of this clip: %s", o->to, why);
}

bool output_open(struct output *o, const char *to, const char *muxer, struct err *e)
{
    *o = (struct output){.to = to, .temp = file_temp_beside(to, e)};
    if (!o->temp)
        return false;
    AVDictionary *options = NULL;
    char *url = av_asprintf("file:%s", o->temp);
    if (!url)
        abort();
    int code = avformat_alloc_output_context2(&o->mux, NULL, muxer, url);
    av_dict_set(&options, "protocol_whitelist", "file", 0);
    if (code >= 0)
        code = avio_open2(&o->mux->pb, url, AVIO_FLAG_WRITE, NULL, &options);
    av_dict_free(&options);
    av_free(url);
    if (code >= 0) {
        o->mux->flags |= AVFMT_FLAG_BITEXACT; /* nothing of who made it, or when */
        return true;
    }
    output_failed(o, code, e);
    output_close(o);
    return false;
}

bool output_begin(struct output *o, struct err *e)
{
    AVDictionary *options = NULL;
    if (strcmp(o->mux->oformat->name, "mp4") == 0 || strcmp(o->mux->oformat->name, "mov") == 0) {
        av_dict_set(&options, "movflags", "+faststart", 0);
        av_dict_set(&options, "movie_timescale", "1000000", 0);
    }
    const int code = avformat_write_header(o->mux, &options);
    av_dict_free(&options);
    return code >= 0 || output_failed(o, code, e);
}

bool output_packet(struct output *o, AVPacket *packet, AVRational base, struct err *e)
{
    av_packet_rescale_ts(packet, base, o->mux->streams[packet->stream_index]->time_base);
    packet->pos = -1;
    const int code = av_interleaved_write_frame(o->mux, packet);
    return code >= 0 || output_failed(o, code, e);
}

bool output_end(struct output *o, struct err *e)
{
    int code = av_write_trailer(o->mux);
    if (code >= 0)
        code = o->mux->pb->error;
    if (code < 0)
        return output_failed(o, code, e);
    code = avio_closep(&o->mux->pb);
    return code >= 0 || output_failed(o, code, e);
}

bool output_place(struct output *o, struct err *e)
{
    const bool ok = file_place(o->temp, o->to, e);
    free(o->temp);
    o->temp = NULL;
    return ok;
}

void output_close(struct output *o)
{
    if (o->mux) {
        avio_closep(&o->mux->pb);
        avformat_free_context(o->mux);
    }
    o->mux = NULL;
    if (o->temp)
        unlink(o->temp);
    free(o->temp);
    o->temp = NULL;
}
