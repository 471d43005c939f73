using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary><c>run</c> over many files, <c>compare</c>, and output that is there already.</summary>
public sealed class RunTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_bad_file_does_not_stop_the_others_and_the_first_one_decides_the_exit_code()
    {
        Picture.WriteRing(shop.At("one.png"));
        shop.Write("two.png", "no picture");
        Picture.WriteRing(shop.At("three.png"), side: 50);
        var answer = shop.Json("run", "printable-whites", "one.png", "two.png", "missing.png", "three.png", "-o", "out", "--setup", "light-garment").ShouldFail(3, "R3003");
        answer.Codes.ShouldBe(["R3003", "R3001"]);
        var items = answer.Json["items"]!.AsArray();
        items.Select(item => (int)item!["exit"]!).ShouldBe([0, 3, 3, 0]);
        items.Select(item => (string)item!["art"]!["path"]!).ShouldBe(["one.png", "two.png", "missing.png", "three.png"]);
        ((long)items[3]!["changed"]!["pixels"]!).ShouldBe(26 * 26);
        Directory.GetFiles(shop.At("out")).Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(["one.json", "one.png", "three.json", "three.png"]);
        File.Exists(shop.At("one.png.work")).ShouldBeFalse();
        Picture.Read(shop.At("out/one.png")).Pixels[(20 * 40) + 20].ShouldBe(new Rgba8(254, 254, 254));
    }

    // The contract: milliseconds in run only with --timings. Whoever compares two runs compares their bytes.
    [Fact]
    public void The_same_run_gives_the_same_bytes_unless_it_is_timed()
    {
        Picture.WriteRing(shop.At("one.png"));
        Picture.WriteRing(shop.At("two.png"), side: 50);
        shop.Write("orders.csv", "art,recipe,quantity\none.png,printable-whites,2\ntwo.png,clean-background,1\n");
        foreach (string[] command in (string[][])[["run", "printable-whites", "one.png", "two.png"], ["run", "--list", "orders.csv"]])
        {
            string[] whole = [.. command, "-o", "out", "--setup", "light-garment", "--json"];
            string first = shop.Run(whole).ShouldExit(0).Out;
            string[] files = Bytes();
            shop.Run(whole).ShouldExit(0).Out.ShouldBe(first);
            Bytes().ShouldBe(files);
            first.ShouldNotContain("milliseconds");
            files.ShouldAllBe(file => !file.Contains("milliseconds"));

            var timed = shop.Json([.. command, "-o", "out", "--setup", "light-garment", "--timings"]).ShouldExit(0).Json;
            timed["milliseconds"]!["run"].ShouldNotBeNull();
            timed["items"]![0]!["milliseconds"]!["run"].ShouldNotBeNull();
            Bytes().Count(file => file.Contains("milliseconds")).ShouldBe(2);
            Directory.Delete(shop.At("out"), recursive: true);
        }

        string[] Bytes() => [.. Directory.GetFiles(shop.At("out")).Order(StringComparer.Ordinal)
            .Select(file => file + System.Text.Encoding.Latin1.GetString(File.ReadAllBytes(file)))];
    }

    // The result is called like the art, and so lies beside no work file of its own; a folder of work files has one by that name all the same.
    [Fact]
    public void A_second_run_replaces_the_first_where_work_files_lie_in_a_folder()
    {
        Directory.CreateDirectory(shop.At("orders"));
        Picture.WriteRing(shop.At("orders/ring.png"));
        shop.Json("commit", "clean-background", "orders/ring.png", "--setup", "light-garment", "--work", "works").ShouldExit(0);
        shop.Json("note", "orders/ring.png", "for the harbor fun run", "--work", "works").ShouldExit(0);
        File.Exists(shop.At("works/ring.png.work")).ShouldBeTrue();
        string[] run = ["run", "printable-whites", "orders/ring.png", "-o", "out", "--setup", "light-garment", "--work", "works"];
        shop.Json(run).ShouldExit(0);
        byte[] first = File.ReadAllBytes(shop.At("out/ring.png"));
        shop.Json(run).ShouldExit(0);
        File.ReadAllBytes(shop.At("out/ring.png")).ShouldBe(first);
    }

    // A terminal shows one thing at a time: checking rows compiles recipes meanwhile.
    [Fact]
    public void A_list_of_orders_runs_at_a_terminal()
    {
        Shop.Needs(File.Exists("/usr/bin/script"), "script of bsdutils");
        Picture.WriteRing(shop.At("ring.png"));
        shop.Write("orders.csv", "art,recipe\nring.png,printable-whites\n");
        shop.Environment["DOTNET_ROOT"] = Path.GetDirectoryName(Shop.Dotnet)!;
        shop.Environment["TERM"] = "xterm";
        string command = $"'{Shop.ProgramFolder}/recipes' run --list orders.csv -o out --setup light-garment";
        using var terminal = shop.StartWith("/usr/bin/script", "-qec", command, "terminal.txt");
        Shop.End(terminal).ShouldExit(0);
        // It did show that the work goes on, or this would be no terminal.
        File.ReadAllText(shop.At("terminal.txt")).ShouldContain("Checking the rows");
        File.Exists(shop.At("out/ring.png")).ShouldBeTrue();
    }

    [Fact]
    public void Equal_names_are_refused_before_any_work()
    {
        Directory.CreateDirectory(shop.At("a"));
        Picture.WriteRing(shop.At("a/ring.png"));
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("run", "printable-whites", "ring.png", "a/ring.png", "-o", "out", "--setup", "light-garment").ShouldFail(2, "R1009");
        Directory.Exists(shop.At("out")).ShouldBeFalse();
    }

    [Fact]
    public void A_folder_is_run_and_where_stems_meet_whole_names_are_taken()
    {
        Directory.CreateDirectory(shop.At("in"));
        Picture.WriteRing(shop.At("in/ring.png"));
        string[] run = ["run", "printable-whites", "in", "-o", "in", "--setup", "light-garment"];
        shop.Json("run", "printable-whites", "in", "-o", "out", "--setup", "light-garment").ShouldExit(0);
        File.Copy(shop.At("in/ring.png"), shop.At("in/RING.jpg"));
        // The ending doesn't say what a file is; its first bytes do.
        var both = shop.Json("run", "printable-whites", "in", "-o", "out", "--setup", "light-garment").ShouldExit(0).Json;
        both["items"]!.AsArray().Select(item => (string)item!["outputs"]!["file"]!).ShouldBe(["out/RING.jpg.png", "out/ring.png.png"]);
        both["stale"]!.AsArray().Select(path => (string)path!).ShouldBe(["out/ring.png"]);
        File.Exists(shop.At("out/ring.png")).ShouldBeTrue();
        File.Delete(shop.At("in/RING.jpg"));

        // Into the same folder, the results are no arts of the next run.
        File.Move(shop.At("in/ring.png"), shop.At("in/art.webp"));
        shop.Json(run).ShouldExit(0).Json["items"]!.AsArray().Count.ShouldBe(1);
        var again = shop.Json(run).ShouldExit(0).Json;
        again["items"]!.AsArray().Select(item => (string)item!["art"]!["path"]!).ShouldBe(["in/art.webp"]);
        again["skipped"]!.AsArray().Select(path => (string)path!).ShouldBe(["in/art.png"]);
    }

    [Fact]
    public void It_replaces_what_it_wrote_for_the_same_art_and_nothing_else()
    {
        Picture.WriteRing(shop.At("ring.png"));
        string[] command = ["run", "printable-whites", "ring.png", "-o", "out", "--setup", "light-garment"];
        shop.Json(command).ShouldExit(0);
        string first = Shop.HashOf(shop.At("out/ring.png"));
        shop.Json(command).ShouldExit(0);
        Shop.HashOf(shop.At("out/ring.png")).ShouldBe(first);

        // Another art of the same name isn't the same art.
        Directory.CreateDirectory(shop.At("b"));
        Picture.WriteRing(shop.At("b/ring.png"), side: 50);
        shop.Json("run", "printable-whites", "b/ring.png", "-o", "out", "--setup", "light-garment").ShouldFail(9, "R8001");
        Shop.HashOf(shop.At("out/ring.png")).ShouldBe(first);

        Directory.CreateDirectory(shop.At("foreign"));
        shop.Write("foreign/ring.png", "somebody else's");
        shop.Json("run", "printable-whites", "ring.png", "-o", "foreign", "--setup", "light-garment").ShouldFail(9, "R8001");
        File.ReadAllText(shop.At("foreign/ring.png")).ShouldBe("somebody else's");
        shop.Json("run", "printable-whites", "ring.png", "-o", "foreign", "--setup", "light-garment", "--force").ShouldExit(0);
        Shop.HashOf(shop.At("foreign/ring.png")).ShouldBe(first);
        shop.Json("run", "printable-whites", "ring.png", "-o", ".", "--setup", "light-garment", "--force").ShouldFail(9, "R8001");
    }

    [Fact]
    public void A_dry_run_replaces_its_own_folder_and_nothing_else()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("dry-run", "clean-background", "ring.png", "--setup", "light-garment").ShouldExit(0);
        Picture.WriteRing(shop.At("other.png"), side: 50);
        shop.Json("dry-run", "printable-whites", "other.png", "--setup", "light-garment", "--out", "ring.png.dry-run").ShouldFail(9, "R8001");
        shop.Write("taken/after.png", "somebody else's");
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment", "--out", "taken").ShouldFail(9, "R8001");
        File.ReadAllText(shop.At("taken/after.png")).ShouldBe("somebody else's");
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment", "--out", "taken", "--force").ShouldExit(0);
        shop.Write("a-file", "text");
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment", "--out", "a-file").ShouldFail(9, "R8001");
    }

    [Theory]
    [InlineData("dry-run printable-whites after.png --out . --force --setup light-garment")]
    [InlineData("compare after.png ring.png --out . --force")]
    [InlineData("compare ring.png after.png --out . --force")]
    public void An_art_is_never_written_even_by_force(string command)
    {
        Picture.WriteRing(shop.At("ring.png"));
        string art = Picture.WriteRing(shop.At("after.png"), side: 44), hash = Shop.HashOf(art);
        shop.Json(command.Split(' ')).ShouldFail(9, "R8001");
        Shop.HashOf(art).ShouldBe(hash);
    }

    [Fact]
    public void Compare_counts_exactly()
    {
        Picture.Write(shop.At("a.png"), 30, 20, (x, y) => new Rgba8((byte)x, (byte)y, 90, (byte)(x == 29 ? 0 : 255)));
        // One level at one place, alpha only at another, and a color under alpha 0, which doesn't count.
        Picture.Write(shop.At("b.png"), 30, 20, (x, y) => new Rgba8((byte)x, (byte)y, (byte)(x == 3 && y == 4 ? 91 : x == 29 ? 7 : 90), (byte)(x == 29 ? 0 : x == 8 && y == 9 ? 250 : 255)));
        var answer = shop.Json("compare", "a.png", "b.png").ShouldExit(0).Json;
        ((bool)answer["same"]!).ShouldBeFalse();
        ((long)answer["changed"]!["pixels"]!).ShouldBe(2);
        ((int)answer["changed"]!["maxDelta"]!).ShouldBe(5);
        answer["changed"]!["box"]!.AsArray().Select(side => (int)side!).ShouldBe([3, 4, 6, 6]);
        File.Exists(shop.At("a.png.compare/diff.png")).ShouldBeTrue();
        ((bool)shop.Json("compare", "a.png", "a.png").ShouldExit(0).Json["same"]!).ShouldBeTrue();
        Picture.Write(shop.At("fine.png"), 30, 20, (x, y) => new Rgba8((byte)x, (byte)y, 90, (byte)(x == 29 ? 0 : 255)), ppi: 600);
        shop.Run("compare", "a.png", "fine.png").ShouldExit(0).Out.ShouldContain("a.png and fine.png show the same pixels; their resolution differs: 300 ppi and 600 ppi.");
        ((bool)shop.Json("compare", "fine.png", "a.png").ShouldExit(0).Json["same"]!).ShouldBeFalse();
        Picture.Write(shop.At("c.png"), 31, 20, (_, _) => Rgba8.White);
        shop.Json("compare", "a.png", "c.png").ShouldExit(0).Json["changed"]!["pixels"].ShouldBeNull();
    }

    [Fact]
    public void Compare_ignores_what_it_is_told_to_and_says_what_moved()
    {
        // One pixel by 5 levels, 20 in one column by 1 level: pure white, which stays bare, against the brightest white that prints.
        Picture.Write(shop.At("a.png"), 30, 20, (x, y) => x == 5 ? Rgba8.White : new Rgba8((byte)x, (byte)y, 90));
        Picture.Write(shop.At("b.png"), 30, 20, (x, y) => x == 5 ? new Rgba8(254, 254, 254) : new Rgba8((byte)x, (byte)y, (byte)(x == 3 && y == 4 ? 95 : 90)));
        string[] compare = ["compare", "a.png", "b.png", "--setup", "light-garment"];
        Counts(shop.Json([.. compare, "--tolerance", "0"])).ShouldBe((0, 21, 0, 0));
        Counts(shop.Json([.. compare, "--tolerance", "4"])).ShouldBe((4, 1, 20, 20));
        var all = shop.Json([.. compare, "--tolerance", "5"]);
        Counts(all).ShouldBe((5, 0, 21, 20));
        all.Json["moved"].ShouldBeNull();
        shop.Run([.. compare, "--tolerance", "4"]).ShouldExit(0).Out
            .ShouldContain("20 px that differ by at most 4 levels; 20 of them print in one and stay bare in the other.");
        File.ReadAllText(shop.At("a.png.compare/report.html")).ShouldContain("20 px that differ by at most 4 levels; 20 of them print in one");
        shop.Json([.. compare, "--tolerance", "256"]).ShouldFail(2, "R1001");

        // The same art, padded by 7 px at the left and trimmed by 2 at the top.
        Picture.Write(shop.At("one.png"), 30, 20, (x, y) => x is >= 4 and < 20 && y is >= 6 and < 17 ? new Rgba8((byte)x, (byte)y, 90) : Rgba8.White);
        Picture.Write(shop.At("two.png"), 37, 18, (x, y) =>
            x is >= 11 and < 27 && y is >= 4 and < 15 ? new Rgba8((byte)(x - 7), (byte)(y + 2), 90) : Rgba8.White);
        var moved = shop.Json("compare", "one.png", "two.png").ShouldExit(0).Json["moved"]!;
        ((int)moved["x"]!, (int)moved["y"]!).ShouldBe((7, -2));
        shop.Run("compare", "one.png", "two.png").ShouldExit(0).Out.ShouldContain("two.png is one.png moved: the same art, 7 px to the right and 2 px up.");

        static (int Tolerance, long Changed, long Ignored, long Ink) Counts(Answer answer) => answer.ShouldExit(0).Json is var json
            ? ((int)json["tolerance"]!, (long)json["changed"]!["pixels"]!, (long)json["ignored"]!["pixels"]!, (long)json["ignored"]!["ink"]!) : default;
    }

    [Fact]
    public void What_was_kept_is_not_in_the_result_and_that_is_said()
    {
        Picture.WriteRing(shop.At("ring.png"));
        string[] run = ["run", "clean-background", "ring.png", "-o", "out", "--setup", "light-garment"];
        shop.Json(run).ShouldExit(0).Codes.ShouldBeEmpty();
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        var answer = shop.Json(run).ShouldExit(0);
        answer.Codes.ShouldBe(["R6012"]);
        ((string?)answer.Json["problems"]![0]!["severity"]).ShouldBe("warning");
        // The white inside the ring, which the kept step made printable, is bare.
        Picture.Read(shop.At("out/ring.png")).Pixels[(20 * 40) + 20].ShouldBe(Recipes.Imaging.Rgba8.White);
        shop.Json("undo", "ring.png").ShouldExit(0);
        shop.Json(run).ShouldExit(0).Codes.ShouldBeEmpty();
    }
}
