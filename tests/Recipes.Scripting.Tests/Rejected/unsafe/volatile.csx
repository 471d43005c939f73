// R2003
class Sail
{
    public volatile int Up;
}
