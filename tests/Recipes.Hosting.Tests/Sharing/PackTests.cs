using System.Formats.Tar;
using System.Text;
using Recipes.Hosting.Library;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Trust;
using Recipes.Problems;
using Recipes.Tests;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>Packs: what goes in comes out, and nothing else is let in.</summary>
public sealed class PackTests : IDisposable
{
    private readonly Bench bench = new();

    public void Dispose() => bench.Dispose();

    private PackedRecipe Packed() => PackedRecipe.Collect(bench.Source());

    private Code Refusal(byte[] bytes)
    {
        File.WriteAllBytes(bench.At("bad.pack"), bytes);
        return Bench.CodeOf(() => RecipePack.Read(bench.At("bad.pack")));
    }

    // A pack as an attacker would write it: perfect but for what he wants in it.
    private static byte[] With(params string[] names) => With(1, names);

    private static byte[] With(int version, params string[] names)
    {
        using var stream = new MemoryStream();
        byte[] content = "Recipe.Title(\"x\");\n"u8.ToArray();
        var manifest = new StringBuilder(FormattableString.Invariant($"recipes-pack {version}\n"));
        foreach (var group in names.GroupBy(name => name.Split('/')[0]))
        {
            manifest.Append(System.Globalization.CultureInfo.InvariantCulture, $"recipe {group.Key}\n");
            manifest.AppendJoin("", group.Select(name => $"file {RecipeFiles.Hash(content)}  {name}\n"));
        }

        RecipePack.Add(stream, "pack.txt", Encoding.UTF8.GetBytes(manifest.ToString()));
        foreach (string name in names)
        {
            RecipePack.Add(stream, name, content);
        }

        stream.Write(new byte[1024]);
        return stream.ToArray();
    }

    [Fact]
    public void What_goes_in_comes_out_the_same_on_every_machine()
    {
        bench.Approve();
        byte[] pack = RecipePack.Write([Packed()]);
        RecipePack.Write([Packed()]).ShouldBe(pack);
        File.WriteAllBytes(bench.At("harbor.pack"), pack);
        var read = RecipePack.Read(bench.At("harbor.pack")).ShouldHaveSingleItem();
        read.Same(Packed()).ShouldBeTrue();
        (read.Name, read.Version).ShouldBe(("sail-check", 2));
        read.Files.Keys.ShouldBe(["cases/white-sail.json", "sail-check.csx", "sail-check.lock", "sail-check.md", "snippets/sail.csx"]);
        RecipePack.ReadFolder(bench.At("shelf")).ShouldHaveSingleItem().Same(read).ShouldBeTrue();
    }

    [Fact]
    public void Any_archiver_opens_one()
    {
        File.WriteAllBytes(bench.At("harbor.pack"), RecipePack.Write([Packed()]));
        // The runtime's own reader of the POSIX.1 ustar format, and the system's.
        using (var reader = new TarReader(File.OpenRead(bench.At("harbor.pack"))))
        {
            var names = new List<string>();
            while (reader.GetNextEntry() is { } entry)
            {
                entry.Format.ShouldBe(TarEntryFormat.Ustar);
                entry.EntryType.ShouldBe(TarEntryType.RegularFile);
                names.Add(entry.Name);
            }

            names.ShouldBe(["pack.txt", "sail-check/cases/white-sail.json", "sail-check/sail-check.csx", "sail-check/sail-check.md", "sail-check/snippets/sail.csx"]);
        }

        Directory.CreateDirectory(bench.At("opened"));
        bench.Run("tar", "-xf", "harbor.pack", "-C", "opened").ShouldBe((0, ""));
        bench.Run("diff", "-r", "opened/sail-check", "shelf/sail-check").ShouldBe((0, ""));
    }

    [Theory]
    [InlineData("../sail/sail.csx")]
    [InlineData("/sail/sail.csx")]
    [InlineData("sail/../sail.csx")]
    [InlineData("sail/./sail.csx")]
    [InlineData("sail//sail.csx")]
    [InlineData("sail\\sail.csx")]
    [InlineData("C:/sail.csx")]
    [InlineData("sail.csx")]
    [InlineData("sail/cases/..\\..\\x.csx")]
    [InlineData("sail/.hidden.csx")]
    [InlineData("sail/x.csx.")]
    [InlineData("sail/x.sh")]
    [InlineData("sail/aux.csx")]
    [InlineData("sail/cases/Com1.json")]
    [InlineData("sail/a/b/c/d/e.csx")]
    [InlineData("sail/SAIL.csx")]
    [InlineData("sail/two words.csx")]
    [InlineData("sail/added.json")]
    [InlineData("Sail/Sail.csx")]
    [InlineData("nul/nul.csx")]
    [InlineData("-sail/-sail.csx")]
    public void A_path_that_leads_elsewhere_or_means_something_else_is_refused(string name)
    {
        RecipePack.Parse(With("sail/sail.csx", "sail/x.csx"), "good.pack").ShouldHaveSingleItem().Files.Count.ShouldBe(2);
        Refusal(With("sail/sail.csx", name)).ShouldBe(Codes.DamagedPack);
    }

    [Theory]
    [InlineData("a/a.recipes", "a/a.csx")]
    [InlineData("a/a.recipes", "a/b.csx")]
    [InlineData("a/a.recipes", "a/cases/b.json")]
    [InlineData("a/a.recipes", "a/a.lock")]
    [InlineData("a/a.csx", "a/b.recipes")]
    [InlineData("a/b.recipes")]
    [InlineData("a/x/a.recipes")]
    public void A_list_holds_only_a_list_s_files_and_a_recipe_none(params string[] names) => Refusal(With([.. names.Order(StringComparer.Ordinal)])).ShouldBe(Codes.DamagedPack);

    [Fact]
    public void A_list_that_can_t_be_read_is_not_installed()
    {
        File.WriteAllBytes(bench.At("bad.pack"), With("a/a.recipes"));
        var packed = RecipePack.Read(bench.At("bad.pack"));
        Bench.CodeOf(() => RecipeShelf.ApprovalOf(packed[0], packed, House.None)).ShouldBe(Codes.BadRecipeList);
    }

    [Fact]
    public void What_two_lists_share_is_packed_once_and_what_only_shares_its_name_is_refused()
    {
        RecipePack.Once([Packed(), Packed()]).ShouldHaveSingleItem().Same(Packed()).ShouldBeTrue();
        var list = RecipeList.Read(bench.Write("other/sail-check.recipes", "recipes-list 1\npure-black\n"));
        Bench.CodeOf(() => RecipePack.Once([Packed(), PackedRecipe.Collect(list)])).ShouldBe(Codes.RecipeInTwoPlaces);
        var other = RecipeSource.Read("sail-check", bench.Write("other/sail-check.csx", "Recipe.Title(\"Another\");\n"));
        Bench.CodeOf(() => RecipePack.Once([Packed(), PackedRecipe.Collect(other)])).ShouldBe(Codes.RecipeInTwoPlaces);
    }

    [Fact]
    public void Doubles_and_files_that_are_folders_are_refused()
    {
        Refusal(With("sail/sail.csx", "sail/sail.csx")).ShouldBe(Codes.DamagedPack);
        Refusal(With("sail/X.csx", "sail/sail.csx", "sail/x.csx")).ShouldBe(Codes.DamagedPack);
        Refusal(With("sail/a.csx", "sail/a.csx/b.csx", "sail/sail.csx")).ShouldBe(Codes.DamagedPack);
        Refusal(With("sail/x.csx")).ShouldBe(Codes.DamagedPack);
        Refusal(With()).ShouldBe(Codes.DamagedPack);
        Refusal(With([.. Enumerable.Range(0, 600).Select(i => FormattableString.Invariant($"sail/f{i:000}.csx")), "sail/sail.csx"])).ShouldBe(Codes.DamagedPack);
        // Out of order it is no pack of ours either: one content, one file.
        Refusal(With("sail/x.csx", "sail/sail.csx")).ShouldBe(Codes.DamagedPack);
    }

    [Theory]
    [InlineData('1')]
    [InlineData('2')]
    [InlineData('3')]
    [InlineData('5')]
    [InlineData('6')]
    [InlineData('x')]
    [InlineData('g')]
    [InlineData('L')]
    [InlineData('S')]
    public void Links_folders_devices_and_further_headers_are_refused(char type)
    {
        byte[] pack = With("sail/sail.csx", "sail/x.csx");
        int header = pack.AsSpan().IndexOf("sail/x.csx\0"u8);
        pack[header + 156] = (byte)type;
        "/etc/passwd"u8.CopyTo(pack.AsSpan(header + 157));
        // The checksum is made good: the sum of the header's bytes, with spaces in its own place (POSIX.1, ustar).
        pack.AsSpan(header + 148, 8).Fill((byte)' ');
        int sum = 0;
        foreach (byte value in pack.AsSpan(header, 512))
        {
            sum += value;
        }

        Encoding.ASCII.GetBytes(Convert.ToString(sum, 8).PadLeft(6, '0') + "\0 ").CopyTo(pack.AsSpan(header + 148));
        using (var reader = new TarReader(new MemoryStream(pack)))
        {
            // To the runtime's own reader it is a proper archive up to there.
            reader.GetNextEntry()!.Name.ShouldBe("pack.txt");
            reader.GetNextEntry()!.Name.ShouldBe("sail/sail.csx");
        }

        Refusal(pack).ShouldBe(Codes.DamagedPack);
    }

    [Fact]
    public void Only_what_pack_writes_is_read()
    {
        byte[] good = RecipePack.Write([Packed()]);
        for (int length = 0; length < good.Length; length += 256)
        {
            Refusal(good[..length]).ShouldBe(Codes.DamagedPack, $"{length} bytes");
        }

        Refusal([.. good, 0]).ShouldBe(Codes.DamagedPack);
        Refusal([.. good, .. good]).ShouldBe(Codes.DamagedPack);
        // A claimed length of 8 GB is no length.
        byte[] huge = [.. good];
        "77777777777"u8.CopyTo(huge.AsSpan(124));
        Refusal(huge).ShouldBe(Codes.DamagedPack);
        // Compressed, as a bomb would be, it is no pack: nothing is ever unpacked.
        using var zipped = new MemoryStream();
        using (var gzip = new System.IO.Compression.GZipStream(zipped, System.IO.Compression.CompressionLevel.Optimal, leaveOpen: true))
        {
            gzip.Write(new byte[10_000_000]);
        }

        Refusal(zipped.ToArray()).ShouldBe(Codes.DamagedPack);
        using (var large = File.Create(bench.At("large.pack")))
        {
            large.SetLength(RecipePack.Largest + 1L);
        }

        Bench.CodeOf(() => RecipePack.Read(bench.At("large.pack"))).ShouldBe(Codes.DamagedPack);
        Bench.CodeOf(() => RecipePack.Read(bench.At("nothing.pack"))).ShouldBe(Codes.DamagedPack);
        Bench.CodeOf(() => RecipePack.Read(bench.At("shelf"))).ShouldBe(Codes.DamagedPack);
    }

    [Fact]
    public void Every_changed_byte_is_noticed()
    {
        byte[] good = RecipePack.Write([Packed()]);
        var random = new Random(20261125);
        for (int i = 0; i < 2000; i++)
        {
            byte[] bad = [.. good];
            int at = random.Next(bad.Length);
            bad[at] ^= (byte)(1 << random.Next(8));
            Should.Throw<ProblemException>(() => RecipePack.Parse(bad, "bad.pack")).Problems[0].Code.Exit.ShouldBe(ExitCode.Art);
        }

        for (int i = 0; i < 1000; i++)
        {
            var bytes = good.ToList();
            for (int n = random.Next(1, 5); n > 0; n--)
            {
                Damage.Do(bytes, random.Next(bytes.Count), 700, random);
            }

            byte[] bad = [.. bytes];
            if (!bad.AsSpan().SequenceEqual(good))
            {
                Should.Throw<ProblemException>(() => RecipePack.Parse(bad, "bad.pack")).Problems[0].Code.Exit.ShouldBe(ExitCode.Art);
            }
        }
    }

    // A shared folder is anybody's: a link in it would bring a file of the user's among the recipes, to be shown, installed and passed on.
    [Theory]
    [InlineData("sail-check/sail-check.csx", "R2008")]
    [InlineData("sail-check/sail-check.md", "R6204")]
    [InlineData("sail-check/sail-check.lock", "R6204")]
    [InlineData("sail-check/cases", "R6204")]
    [InlineData("sail-check/near.csx", "R2007")]
    [InlineData("sail-check", "R2008")]
    [InlineData("house.recipes", "R6205")]
    [InlineData("other.csx", "R2008")]
    public void A_link_in_a_shared_folder_is_refused(string link, string code)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        string at = bench.At("shelf/" + link), elsewhere = bench.At("elsewhere");
        bench.Write("shelf/sail-check/sail-check.csx", "#load \"near.csx\"\nRecipe.Title(\"Sail check\");\n");
        bench.Write("shelf/sail-check/near.csx", "int Near() => 1;\n");
        RecipePack.ReadFolder(bench.At("shelf")).ShouldNotBeEmpty();
        if (Directory.Exists(at))
        {
            Directory.Move(at, elsewhere);
        }
        else
        {
            File.Delete(at);
            bench.Write("elsewhere", link.EndsWith(".recipes", StringComparison.Ordinal) ? "recipes-list 1\nsail-check\n" : "Recipe.Title(\"A secret\");\n");
        }

        File.CreateSymbolicLink(at, elsewhere);
        Bench.CodeOf(() => RecipePack.ReadFolder(bench.At("shelf"))).Id.ShouldBe(code);
    }

    [Fact]
    public void A_newer_version_is_told_as_such() =>
        Refusal(With(2, "sail/sail.csx")).ShouldBe(Codes.NewerPack);

    [Fact]
    public void What_can_t_travel_is_refused_before_it_is_packed()
    {
        bench.Write("shelf/sail-check/cases/aux.json", "{}");
        Bench.CodeOf(() => Packed()).ShouldBe(Codes.UnfitFile);
        File.Delete(bench.At("shelf/sail-check/cases/aux.json"));
        if (!OperatingSystem.IsWindows())
        {
            File.CreateSymbolicLink(bench.At("shelf/sail-check/cases/link.json"), "/etc/passwd");
            Bench.CodeOf(() => Packed()).ShouldBe(Codes.UnfitFile);
            Bench.CodeOf(() => RecipePack.ReadFolder(bench.At("shelf"))).ShouldBe(Codes.UnfitFile);
        }
    }
}
