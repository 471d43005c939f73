// R2003
interface IM
{
    static int X = 1;
}
