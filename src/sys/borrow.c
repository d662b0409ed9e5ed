#include "sys/borrow.h"

#include <dlfcn.h>
#include <pthread.h>
#include <string.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

static bool fetch(const struct borrowed *b, void *into, struct err *e)
{
    void *library = dlopen(b->library, RTLD_LAZY | RTLD_LOCAL);
    if (!library)
        return err_set(e, ERR_FAILED, "a library cannot be loaded: %s; install it again",
                       dlerror());
    void *function = dlsym(library, b->function);
    if (!function)
        return err_set(e, ERR_FAILED, "%s lacks %s; build boxcall again for the one installed here",
                       b->library, b->function);
    memcpy((char *)into + b->at, &function, sizeof function);
    return true;
}

bool borrow(const struct borrow_list *list, struct err *e)
{
    pthread_mutex_lock(&lock);
    bool ok = true;
    for (size_t i = 0; ok && !*list->done && i < list->n; i++)
        ok = fetch(&list->rows[i], list->into, e);
    *list->done = *list->done || ok;
    pthread_mutex_unlock(&lock);
    return ok;
}
