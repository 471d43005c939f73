// R2002
{
    using var file = new System.IO.FileStream("/tmp/recipes-canary", System.IO.FileMode.Create);
}
