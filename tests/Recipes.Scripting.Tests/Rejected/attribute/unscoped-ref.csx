// R2003
struct Wing
{
    private int x;

    [System.Diagnostics.CodeAnalysis.UnscopedRef]
    public ref int X() => ref x;
}
