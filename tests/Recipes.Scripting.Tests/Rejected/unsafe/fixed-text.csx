// R2003
unsafe
{
    fixed (char* c = "abc")
    {
        c[0] = 'z';
    }
}
