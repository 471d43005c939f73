// R2003
unsafe
{
    int* p = (int*)0;
    *p = 1;
}
