using System.Buffers.Binary;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Folders that can't be written, disks that are full, work files that are damaged or strange.</summary>
public sealed class DiskTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_read_only_folder_stops_writing_and_nothing_else()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.NeedsPermissions();
        shop.Restricted("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        var before = shop.Snapshot();
        Shop.Permit(shop.Desk, UnixFileMode.UserRead | UnixFileMode.UserExecute | UnixFileMode.OtherRead | UnixFileMode.OtherExecute);
        shop.Restricted("check", "ring.png").ShouldExit(0);
        shop.Restricted("history", "ring.png").ShouldExit(0);
        shop.Restricted("commit", "clean-background", "ring.png").ShouldFail(9, "R8002");
        shop.Restricted("undo", "ring.png").ShouldFail(9, "R8002");
        shop.Restricted("export", "ring.png", "-o", "out.png").ShouldFail(9, "R8002");
        shop.Restricted("dry-run", "clean-background", "ring.png").ShouldFail(9, "R8002");
        shop.Restricted("run", "clean-background", "ring.png", "-o", "out", "--setup", "light-garment").ShouldFail(9, "R8002");
        shop.Restricted("commit", "clean-background", "ring.png", "--work", "works", "--setup", "light-garment").ShouldFail(9, "R8002");
        shop.Restricted("new", "sail-check").ShouldFail(9, "R8002");
        Directory.CreateDirectory(Path.Combine(shop.Home, ".config"));
        Shop.Permit(Path.Combine(shop.Home, ".config"), UnixFileMode.UserRead | UnixFileMode.UserExecute | UnixFileMode.OtherRead | UnixFileMode.OtherExecute);
        shop.Restricted("keys", "new", "press-room").ShouldFail(9, "R8002");
        Directory.EnumerateFileSystemEntries(Path.Combine(shop.Home, ".config")).ShouldBeEmpty();
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void Folders_of_the_user_that_cannot_be_read_do_no_harm()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.NeedsPermissions();
        Shop.Permit(Path.Combine(shop.Home, ".local/state/recipes/cache.key"), UnixFileMode.None);
        shop.Restricted("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        Directory.CreateDirectory(shop.At("closed"));
        Shop.Permit(shop.At("closed"), UnixFileMode.None);
        shop.Environment["RECIPES_PATH"] = "closed";
        shop.Restricted("list").ShouldFail(2, "R1001");
        shop.Restricted("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldFail(2, "R1001");
    }

    [Fact]
    public void A_full_disk_leaves_everything_as_it_was()
    {
        string disk = Directory.CreateDirectory(shop.At("disk")).FullName;
        bool mounted = false;
        try
        {
            mounted = Call("mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", disk);
            Shop.Needs(mounted, "the right to mount a tmpfs");
            // Noise can't be compressed: each of its layers takes about 1.1 MB. One pixel of black gives the recipe something to do.
            var random = new Random(5);
            Picture.Write(shop.At("noise.png"), 520, 520, (x, y) => (x, y) == (7, 7) ? new Rgba8(0, 0, 0) : new Rgba8((byte)random.Next(20), (byte)random.Next(256), (byte)random.Next(256), (byte)random.Next(256)));
            shop.Json("commit", "print-black", "noise.png", "--setup", "black-garment", "--work", "disk").ShouldFail(9, "R8002");
            Directory.GetFileSystemEntries(disk).ShouldBeEmpty();

            Picture.WriteRing(shop.At("ring.png"));
            shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--work", "disk").ShouldExit(0);
            Fill(Path.Combine(disk, "filler"));
            string work = Shop.HashOf(Path.Combine(disk, "ring.png.work"));
            shop.Json("commit", "clean-background", "ring.png", "--work", "disk").ShouldFail(9, "R8002");
            shop.Json("undo", "ring.png", "--work", "disk").ShouldFail(9, "R8002");
            shop.Json("export", "ring.png", "-o", "disk/out.png", "--work", "disk").ShouldFail(9, "R8002");
            shop.Json("run", "printable-whites", "ring.png", "-o", "disk", "--setup", "light-garment").ShouldFail(9, "R8002");
            shop.Json("dry-run", "printable-whites", "noise.png", "--out", "disk/try", "--setup", "light-garment").ShouldFail(9, "R8002");
            Shop.HashOf(Path.Combine(disk, "ring.png.work")).ShouldBe(work);
            Directory.GetFiles(disk).Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(["filler", "ring.png.work"]);
            File.Delete(Path.Combine(disk, "filler"));
            ((int)shop.Json("undo", "ring.png", "--work", "disk").ShouldExit(0).Json["step"]!).ShouldBe(0);
        }
        finally
        {
            if (mounted)
            {
                Call("umount", "-l", disk);
            }
        }
    }

    [Fact]
    public void Damaged_newer_and_foreign_work_files_are_told_apart_and_left_alone()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        byte[] good = File.ReadAllBytes(shop.At("ring.png.work"));

        // SQLite, "Database File Format", 1.3: the user version lies at 60, the application's id at 68, both big-endian.
        Try("R3010", bytes => BinaryPrimitives.WriteInt32BigEndian(bytes.AsSpan(60), 1000));
        Try("R3009", bytes => BinaryPrimitives.WriteInt32BigEndian(bytes.AsSpan(68), 0x1234));
        Try("R3009", bytes => bytes.AsSpan(0, 16).Clear());
        // A table of the schema becomes one of another name.
        Try("R3009", bytes => "expert"u8.CopyTo(bytes.AsSpan(bytes.AsSpan().IndexOf(Encoding.ASCII.GetBytes("CREATE TABLE export")) + 13)));
        Try("R3009", bytes => bytes.AsSpan(bytes.Length / 2).Fill(0x5a));
        Try("R3009", bytes => bytes.AsSpan().Clear());
        File.WriteAllBytes(shop.At("ring.png.work"), good[..(good.Length / 2)]);
        shop.Json("check", "ring.png").ShouldFail(3, "R3009");
        File.WriteAllBytes(shop.At("ring.png.work"), []);
        shop.Json("check", "ring.png").ShouldFail(3, "R3009");

        void Try(string code, Action<byte[]> harm)
        {
            byte[] bytes = [.. good];
            harm(bytes);
            File.WriteAllBytes(shop.At("ring.png.work"), bytes);
            var before = shop.Snapshot();
            foreach (string command in (string[])["check ring.png", "commit clean-background ring.png --setup light-garment", "undo ring.png"])
            {
                shop.Json(command.Split(' ')).ShouldFail(3, code);
            }

            shop.Snapshot().ShouldBe(before);
        }
    }

    [Fact]
    public void A_step_that_cannot_be_written_down_leaves_no_work_file()
    {
        Picture.WriteRing(shop.At("ring.png"));
        var before = shop.Snapshot();
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--by", new string('x', 5000)).ShouldFail(9, "R8002");
        shop.Snapshot().ShouldBe(before);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Of_two_commits_at_once_one_wins_or_both_follow_each_other(bool begun)
    {
        // A near-black square with white in it: each of the three recipes has something to change, whichever comes first.
        Picture.Write(shop.At("ring.png"), 40, 40, (x, y) =>
            x is < 8 or > 31 || y is < 8 or > 31 || (x is > 11 and < 28 && y is > 11 and < 28) ? Rgba8.White : new Rgba8(4, 4, 4));
        if (begun)
        {
            shop.Json("commit", "pure-black", "ring.png", "--setup", "light-garment").ShouldExit(0);
        }

        int first = begun ? 1 : 0;
        using var a = shop.Start("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--by", "a", "--json");
        using var b = shop.Start("commit", "clean-background", "ring.png", "--setup", "light-garment", "--by", "b", "--json");
        Answer[] answers = [Shop.End(a), Shop.End(b)];
        answers.ShouldAllBe(answer => answer.Exit == 0 || answer.Exit == 7);
        int kept = answers.Count(answer => answer.Exit == 0);
        kept.ShouldBeGreaterThan(0);
        foreach (var lost in answers.Where(answer => answer.Exit == 7))
        {
            lost.ShouldFail(7, "R6003");
        }

        var line = shop.Json("history", "ring.png").ShouldExit(0).Json["setups"]![0]!;
        ((int)line["head"]!).ShouldBe(first + kept);
        line["steps"]!.AsArray().Count.ShouldBe(first + kept);
        shop.Json("export", "ring.png", "-o", "out.png").ShouldExit(0);
        var pixels = Picture.Read(shop.At("out.png")).Pixels;
        pixels[(20 * 40) + 20].ShouldBe(answers[0].Exit == 0 ? new Rgba8(254, 254, 254) : new Rgba8(255, 255, 255));
        pixels[0].A.ShouldBe(answers[1].Exit == 0 ? (byte)0 : (byte)255);
        Directory.GetFiles(shop.Desk).Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(["out.png", "ring.png", "ring.png.work"]);
    }

    private static void Fill(string path)
    {
        using var stream = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        byte[] page = new byte[4096];
        try
        {
            while (true)
            {
                stream.Write(page);
            }
        }
        catch (IOException)
        {
            // Full.
        }
    }

    private bool Call(string command, params string[] args)
    {
        try
        {
            using var process = shop.StartWith(command, args);
            return Shop.End(process).Exit == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }
}
