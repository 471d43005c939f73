// R2003
class M
{
    static M()
    {
        while (true) { }
    }

    public int X;
}

var q = new M();
