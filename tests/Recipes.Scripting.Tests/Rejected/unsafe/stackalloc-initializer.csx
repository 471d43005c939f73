// R2003
int Sum()
{
    ReadOnlySpan<int> s = stackalloc[] { 1, 2, 3 };
    return s[0];
}
