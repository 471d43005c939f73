// R2003
unsafe
{
    int z = 0;
    int* p = &z;
    p[100] = 1;
}
