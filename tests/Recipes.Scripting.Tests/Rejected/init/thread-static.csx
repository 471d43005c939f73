// R2003
class M
{
    [ThreadStatic]
    static int x;
}
