namespace Recipes.Cli.Tests;

/// <summary>
/// Customers' pixels and the user's keys are readable by their owner only, whatever the umask; a dry run lies beside the art, for all shifts.
/// </summary>
public sealed class OwnerOnlyTests : IDisposable
{
    private const UnixFileMode Owner = UnixFileMode.UserRead | UnixFileMode.UserWrite, OwnerFolder = Owner | UnixFileMode.UserExecute;
    private readonly Shop shop = new(empty: true);

    public OwnerOnlyTests() => Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has other permissions.");

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Nobody_else_reads_what_is_kept_of_a_picture()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Umask("0", "dry-run printable-whites ring.png --setup light-garment");
        string cache = Path.Combine(shop.Home, ".cache/recipes"), key = Path.Combine(shop.Home, ".local/state/recipes/cache.key");
        Directory.GetFiles(Path.Combine(cache, "runs")).ShouldNotBeEmpty();
        foreach (string file in Directory.GetFiles(cache, "*", SearchOption.AllDirectories).Append(key))
        {
            Mode(file).ShouldBe(Owner, file);
        }

        foreach (string folder in Directory.GetDirectories(cache, "*", SearchOption.AllDirectories).Append(cache).Append(Path.GetDirectoryName(key)!))
        {
            Mode(folder).ShouldBe(OwnerFolder, folder);
        }

        Mode(shop.At("ring.png.dry-run/after.png")).ShouldBe(
            Owner | UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.OtherRead | UnixFileMode.OtherWrite);

        // Folders that others may enter since an earlier version are closed by the next entry.
        string[] open = [cache, Path.Combine(cache, "runs")];
        Array.ForEach(open, folder => Shop.Permit(folder, OwnerFolder | UnixFileMode.GroupWrite | UnixFileMode.OtherExecute));
        Umask("0", "dry-run print-black ring.png --setup light-garment");
        Array.ForEach(open, folder => Mode(folder).ShouldBe(OwnerFolder, folder));
    }

    [Fact]
    public void Nobody_else_reads_the_log()
    {
        Umask("0", "check none.png --verbose", exit: 3);
        string log = Directory.GetFiles(Path.Combine(shop.Home, ".local/state/recipes"), "*.log").ShouldHaveSingleItem();
        File.ReadAllText(log).ShouldContain("none.png");
        Mode(Path.GetDirectoryName(log)!).ShouldBe(OwnerFolder);
    }

    // Whoever knows the key could forge a dry run that counts as this user's own.
    [Fact]
    public void A_key_that_others_may_read_is_none()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Umask("22", "dry-run printable-whites ring.png --setup light-garment");
        string key = Path.Combine(shop.Home, ".local/state/recipes/cache.key"), before = Shop.HashOf(key);
        Shop.Permit(key, Owner | UnixFileMode.GroupRead);
        // Exchanged, and sealed no more: it is computed again and compared.
        File.Copy(shop.At("ring.png.dry-run/before.png"), shop.At("ring.png.dry-run/after.png"), overwrite: true);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(7, "R6001");
        Umask("22", "dry-run printable-whites ring.png --setup light-garment");
        Shop.HashOf(key).ShouldNotBe(before);
        Mode(key).ShouldBe(Owner);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
    }

    [Theory]
    [InlineData(UnixFileMode.GroupRead)]
    [InlineData(UnixFileMode.OtherRead)]
    [InlineData(UnixFileMode.GroupWrite)]
    public void A_signing_key_that_others_may_read_or_write_signs_nothing(UnixFileMode others)
    {
        shop.Write("mine.csx",
            "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Makes whites printable.\");\n"
            + "Art.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n");
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        string key = Path.Combine(shop.Home, ".config/recipes/keys/press-room.pem");
        Mode(key).ShouldBe(Owner);
        Mode(Path.GetDirectoryName(key)!).ShouldBe(OwnerFolder);
        Shop.Permit(key, Owner | others);
        var problem = shop.Json("approve", "mine.csx", "--key", "press-room", "--by", "Mara").ShouldFail(8, "R6104").Json["problems"]![0]!;
        ((string)problem["message"]!).ShouldContain("Others than its owner");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();
    }

    private void Umask(string mask, string command, int exit = 0)
    {
        string program = $"'{Shop.Dotnet}' exec '{Path.Combine(Shop.ProgramFolder, "recipes.dll")}'";
        using var process = shop.StartWith("sh", "-c", $"umask {mask} && {program} {command} --json");
        Shop.End(process).ShouldExit(exit);
    }

    private static UnixFileMode Mode(string path) => OperatingSystem.IsWindows() ? UnixFileMode.None : File.GetUnixFileMode(path);
}
