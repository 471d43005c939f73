// R2003
void Fill()
{
    Span<int> s = stackalloc int[10000000];
    s[0] = 1;
}

Fill();
