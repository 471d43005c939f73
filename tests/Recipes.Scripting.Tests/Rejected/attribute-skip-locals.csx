// R2003
[System.Runtime.CompilerServices.SkipLocalsInit]
int Dirty()
{
    int x;
    x = 1;
    return x;
}
