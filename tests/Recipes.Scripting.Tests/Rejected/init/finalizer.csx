// R2003
class M
{
    ~M()
    {
        while (true) { }
    }
}

new M();
