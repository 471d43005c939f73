// R2002
IAsyncDisposable thing = null;
{
    await using var held = thing;
}
