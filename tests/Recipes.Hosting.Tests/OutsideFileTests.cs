using System.Security.Cryptography;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Charts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.Work;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests;

/// <summary>Files that anybody could have put where the program reads.</summary>
public sealed class OutsideFileTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-outside").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Bytes_are_read_up_to_the_longest()
    {
        string file = Path.Combine(folder, "ten");
        File.WriteAllBytes(file, [.. Enumerable.Range(0, 10).Select(i => (byte)i)]);
        OutsideFile.Read(file, 10).ShouldBe(Enumerable.Range(0, 10).Select(i => (byte)i));
        OutsideFile.Read(file, 9).ShouldBeNull();
        File.WriteAllBytes(file, []);
        OutsideFile.Read(file, 0).ShouldBe([]);
        OutsideFile.Head(file, 4).ShouldBe([]);
        File.WriteAllBytes(file, [1, 2, 3]);
        OutsideFile.Head(file, 2).ShouldBe([1, 2]);
        OutsideFile.Head(file, 4).ShouldBe([1, 2, 3]);
        Should.Throw<FileNotFoundException>(() => OutsideFile.Read(Path.Combine(folder, "none"), 10));
        Should.Throw<UnauthorizedAccessException>(() => OutsideFile.Read(folder, 10));
    }

    [Fact]
    public async Task A_pipe_has_no_head()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no pipes among files.");
        string pipe = Path.Combine(folder, "page.md");
        await Child.RunProgram("mkfifo", pipe);
        var cancel = TestContext.Current.CancellationToken;
        (await Task.Run(() => OutsideFile.Head(pipe, 100), cancel).WaitAsync(TimeSpan.FromSeconds(60), cancel)).ShouldBe([]);
    }

    [Fact]
    public void A_link_below_a_folder_is_not_followed()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        string shared = Path.Combine(folder, "shared"), secret = Path.Combine(folder, "secret"), plain = Path.Combine(shared, "plain");
        Directory.CreateDirectory(shared);
        Directory.CreateDirectory(secret);
        File.WriteAllBytes(Path.Combine(secret, "file"), [7]);
        File.WriteAllBytes(plain, [1, 2]);
        File.CreateSymbolicLink(Path.Combine(shared, "file"), Path.Combine(secret, "file"));
        Directory.CreateSymbolicLink(Path.Combine(shared, "folder"), secret);
        // Whoever named the folder may have named a link.
        Directory.CreateSymbolicLink(Path.Combine(folder, "drive"), shared);

        OutsideFile.Read(plain, 10, shared).ShouldBe([1, 2]);
        OutsideFile.Read(plain, 1, shared).ShouldBeNull();
        OutsideFile.Read(Path.Combine(folder, "drive", "plain"), 10, Path.Combine(folder, "drive")).ShouldBe([1, 2]);
        foreach (string link in (string[])["file", "folder/file"])
        {
            OutsideFile.Read(Path.Combine(shared, link), 10).ShouldBe([7]);
            Should.Throw<IOException>(() => OutsideFile.Read(Path.Combine(shared, link), 10, shared)).Message.ShouldContain("link");
        }

        Should.Throw<FileNotFoundException>(() => OutsideFile.Read(Path.Combine(shared, "none"), 10, shared));
    }

    // Whoever can write to the folder puts the link there at any moment: looking and opening are one step.
    [Fact]
    public async Task A_link_that_comes_in_between_is_not_followed()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Elsewhere the file is looked at before it is opened.");
        string secret = Path.Combine(folder, "secret"), file = Path.Combine(folder, "file");
        string plain = Path.Combine(folder, "plain"), link = Path.Combine(folder, "link");
        File.WriteAllBytes(secret, [7]);
        File.WriteAllBytes(file, [1]);
        using var enough = new CancellationTokenSource();
        var swapping = Task.Run(
            () =>
            {
                while (!enough.IsCancellationRequested)
                {
                    File.CreateSymbolicLink(link, secret);
                    File.Move(link, file, overwrite: true);
                    File.WriteAllBytes(plain, [1]);
                    File.Move(plain, file, overwrite: true);
                }
            },
            TestContext.Current.CancellationToken);
        int refused = 0, read = 0;
        for (int i = 0; i < 20_000 && (i < 2_000 || refused == 0 || read == 0); i++)
        {
            try
            {
                OutsideFile.Read(file, 10, folder).ShouldBe([1]);
                read++;
            }
            catch (IOException)
            {
                refused++;
            }
        }

        await enough.CancelAsync();
        await swapping;
        read.ShouldBeGreaterThan(0);
        refused.ShouldBeGreaterThan(0);
    }

    // A film of 800 MB that was sent by mistake: a sparse file, of which only the head is read. One that a work file couldn't take isn't looked at.
    [Fact]
    public void Of_what_is_no_picture_the_head_is_read()
    {
        string film = Path.Combine(folder, "film.png");
        using (var stream = File.Create(film))
        {
            stream.Write("\0\0\0\x18ftypisom"u8);
            stream.SetLength(800_000_000);
        }

        ArtFile.Read(film).Bytes.Length.ShouldBe(4096);
        using (var stream = File.OpenWrite(film))
        {
            stream.SetLength(WorkFile.LargestOriginal + 1L);
        }

        Should.Throw<ProblemException>(() => ArtFile.Read(film)).Problems[0].Code.ShouldBe(Codes.PictureSize);
        // The hash is that of the whole file all the same.
        string text = Path.Combine(folder, "text.png");
        File.WriteAllText(text, new string('x', 10_000));
        var art = ArtFile.Read(text);
        art.Bytes.Length.ShouldBe(4096);
        art.Sha256.ShouldBe(Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(text))));
    }

    [Theory]
    [InlineData("art.png")]
    [InlineData("chart.txt")]
    [InlineData("setup.json")]
    [InlineData("recipe.csx")]
    public async Task A_pipe_is_refused_and_never_waited_for(string name)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no pipes among files.");
        string pipe = Path.Combine(folder, name), link = Path.Combine(folder, "link-" + name);
        await Child.RunProgram("mkfifo", pipe);
        File.CreateSymbolicLink(link, pipe);
        foreach (string file in (string[])[pipe, link, "/dev/zero"])
        {
            Action read = Path.GetExtension(name) switch
            {
                ".png" => () => ArtFile.Read(file),
                ".txt" => () => ReadChart.Read(file),
                ".json" => () => SetupStore.Find(file),
                _ => () => RecipeSource.Read("fun-run", file),
            };
            // In time, not for ever.
            var problem = await Should.ThrowAsync<ProblemException>(Task.Run(read, TestContext.Current.CancellationToken).WaitAsync(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken));
            problem.Problems[0].Code.Exit.ShouldBe(Path.GetExtension(name) switch { ".json" => ExitCode.Usage, ".csx" => ExitCode.RecipeRefused, _ => ExitCode.Art });
        }
    }
}
