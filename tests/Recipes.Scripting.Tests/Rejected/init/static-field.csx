// R2003
class M
{
    public static int X = 1;
}

var q = M.X;
