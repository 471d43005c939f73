// R2003 no-assembly
[System.Runtime.CompilerServices.SkipLocalsInit]
int Dirty()
{
    int x;
    x = 1;
    return x;
}
