using System.Security.Cryptography;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Cases;
using Recipes.Hosting.Library;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>An approval holds for exactly what was signed, by a key that the house trusts, and for nothing else.</summary>
public sealed class ApprovalTests : IDisposable
{
    private readonly Bench bench = new();

    public void Dispose() => bench.Dispose();

    private ApprovalState State(string entry = "") => Approval.Of(bench.Source(), bench.House(entry)).State;

    [Fact]
    public void An_approved_recipe_may_keep_its_result_and_others_may_not()
    {
        var house = bench.House();
        Bench.CodeOf(() => Approval.Require(bench.Source(), house)).ShouldBe(Codes.NotApproved);
        Codes.NotApproved.Exit.ShouldBe(ExitCode.NotApproved);
        bench.Approve();
        Approval.Require(bench.Source(), house);
        Approval.Of(bench.Source(), house).Words.ShouldBe("approved by Mara on 2026-11-25 with the key foreman, cases: none");
        Approval.Require(bench.Source(), House.None);
    }

    [Fact]
    public void Where_nothing_confines_only_what_the_house_approved_runs()
    {
        var house = bench.House(demands: false);
        ShippedRecipes.RunsUnconfined(bench.Source(), () => house).ShouldBeFalse();
        bench.Approve(bench.Stranger);
        ShippedRecipes.RunsUnconfined(bench.Source(), () => house).ShouldBeFalse();
        bench.Approve();
        ShippedRecipes.RunsUnconfined(bench.Source(), () => House.None).ShouldBeFalse();
        ShippedRecipes.RunsUnconfined(bench.Source(), () => house).ShouldBeTrue();
        File.AppendAllText(bench.Recipe, " ");
        ShippedRecipes.RunsUnconfined(bench.Source(), () => house).ShouldBeFalse();
    }

    [Fact]
    public void The_lock_lists_the_files_as_sha256sum_does()
    {
        bench.Approve().Files.Select(file => file.Name).ShouldBe(["cases/white-sail.json", "sail-check.csx", "snippets/sail.csx"]);
        var sums = File.ReadAllLines(bench.Lock).Where(line => line.StartsWith("file ", StringComparison.Ordinal)).Select(line => line[5..]);
        bench.Write("shelf/sail-check/sums", string.Join('\n', sums) + "\n");
        // GNU coreutils sha256sum, an independent implementation of FIPS 180-4.
        bench.Run("sh", "-c", "cd shelf/sail-check && sha256sum --strict -c sums").Exit.ShouldBe(0);
    }

    [Theory]
    [InlineData("sail-check.csx")]
    [InlineData("snippets/sail.csx")]
    [InlineData("cases/white-sail.json")]
    public void Any_changed_byte_voids_it(string name)
    {
        bench.Approve();
        var house = bench.House();
        string path = bench.At($"shelf/sail-check/{name}");
        byte[] good = File.ReadAllBytes(path);
        byte[] bad = [.. good];
        bad[^2] ^= 1;
        File.WriteAllBytes(path, bad);
        Bench.CodeOf(() => Approval.Require(bench.Source(), house)).ShouldBe(Codes.ApprovalVoid);
        Approval.Of(bench.Source(), house).Words.ShouldBe($"{name} changed after it was approved");
        File.WriteAllBytes(path, good);
        State().ShouldBe(ApprovalState.Approved);
    }

    [Fact]
    public void What_gives_two_results_is_not_approved()
    {
        CaseOutcome outcome = new() { Name = "white-sail", Path = "white-sail.json", Differences = [], Unsteady = "1 px differ" };
        CaseVerdict[] cases = [outcome.Verdict(bench.Source().Path)];
        Bench.CodeOf(() => Approval.Give(bench.Source(), 2, bench.Foreman, "Mara", Bench.Today, () => cases)).ShouldBe(Codes.TwoResults);
        File.Exists(bench.Lock).ShouldBeFalse();
    }

    [Fact]
    public void A_case_more_or_less_voids_it()
    {
        bench.Approve();
        bench.Write("shelf/sail-check/cases/more.json", "{}");
        Approval.Of(bench.Source(), bench.House()).ShouldBe(new Approval(ApprovalState.Void, "cases/more.json was added after it was approved"));
        Directory.Delete(bench.At("shelf/sail-check/cases"), recursive: true);
        Approval.Of(bench.Source(), bench.House()).ShouldBe(new Approval(ApprovalState.Void, "cases/white-sail.json is gone since it was approved"));
    }

    [Fact]
    public void Any_changed_byte_of_the_lock_voids_it()
    {
        bench.Approve();
        var house = bench.House();
        byte[] good = File.ReadAllBytes(bench.Lock);
        for (int at = 0; at < good.Length; at++)
        {
            byte[] bad = [.. good];
            bad[at] ^= 1;
            File.WriteAllBytes(bench.Lock, bad);
            Approval.Of(bench.Source(), house).State.ShouldNotBe(ApprovalState.Approved, $"byte {at}, {(char)good[at]}");
        }

        foreach (byte[] bad in (byte[][])[[], good[..^1], [.. good, (byte)'\n'], [.. good, .. good], [.. good, 0], good[..40]])
        {
            File.WriteAllBytes(bench.Lock, bad);
            Approval.Of(bench.Source(), house).State.ShouldBe(ApprovalState.Void);
        }
    }

    [Fact]
    public void The_lock_of_another_recipe_is_worth_nothing()
    {
        bench.Approve();
        bench.Write("shelf/other/other.csx", File.ReadAllText(bench.Recipe));
        bench.Write("shelf/other/snippets/sail.csx", File.ReadAllText(bench.At("shelf/sail-check/snippets/sail.csx")));
        bench.Write("shelf/other/cases/white-sail.json", File.ReadAllText(bench.At("shelf/sail-check/cases/white-sail.json")));
        File.Copy(bench.Lock, bench.At("shelf/other/other.lock"));
        Approval.Of(bench.Source("other"), bench.House()).Words.ShouldBe("its lock file is that of another recipe, 'sail-check'");
        // Renamed inside the lock, the signature no longer fits.
        File.WriteAllText(bench.At("shelf/other/other.lock"), File.ReadAllText(bench.Lock).Replace("sail-check", "other", StringComparison.Ordinal));
        Approval.Of(bench.Source("other"), bench.House()).State.ShouldBe(ApprovalState.Void);
    }

    [Fact]
    public void An_approval_for_a_newer_program_does_not_hold_here()
    {
        bench.Approve();
        string text = File.ReadAllText(bench.Lock).Replace("\napi 1\n", "\napi 2\n", StringComparison.Ordinal);
        File.WriteAllText(bench.Lock, text);
        Approval.Of(bench.Source(), bench.House()).Words.ShouldBe("it was approved for another version of this program: API 2, now 1");
        Bench.CodeOf(() => Approval.Require(bench.Source(), bench.House())).ShouldBe(Codes.ApprovalVoid);
        File.WriteAllText(bench.Lock, text.Replace("recipes-lock 1", "recipes-lock 2", StringComparison.Ordinal));
        State().ShouldBe(ApprovalState.Void);
    }

    private (RecipeList List, RecipeSource[] Recipes) Evening()
    {
        bench.Write("shelf/wing-check/wing-check.csx", "Recipe.Title(\"Wings\");\n");
        var list = RecipeList.Read(bench.Write("shelf/evening.recipes", "recipes-list 1\nwing-check\nsail-check near=3\n"));
        return (list, [bench.Source("wing-check"), bench.Source()]);
    }

    private RecipeLock ApproveList(SigningKey? key = null) =>
        Approval.Give(Evening().List, Evening().Recipes, key ?? bench.Foreman, "Mara", Bench.Today, () => Cases(4, 0));

    [Fact]
    public void A_list_is_signed_with_every_file_of_its_recipes()
    {
        var given = ApproveList();
        (given.IsList, given.Recipe, given.Approvals[0].Cases).ShouldBe((true, "evening", "4 passed"));
        string text = File.ReadAllText(bench.At("shelf/evening.recipes.lock"));
        text.ShouldStartWith("recipes-lock 1\nlist evening\nversion 1\napi 1\n");
        // GNU coreutils sha256sum, as for a recipe: the names are those of the files in the list's folder.
        bench.Write("shelf/sums", string.Concat(text.Split('\n').Where(line => line.StartsWith("file ", StringComparison.Ordinal)).Select(line => line[5..] + "\n")));
        bench.Run("sh", "-c", "cd shelf && sha256sum --strict -c sums").Exit.ShouldBe(0);
        File.ReadAllLines(bench.At("shelf/sums")).Select(line => line[66..]).ShouldBe(
            ["evening.recipes", "sail-check/cases/white-sail.json", "sail-check/sail-check.csx", "sail-check/snippets/sail.csx", "wing-check/wing-check.csx"]);
    }

    [Theory]
    [InlineData("evening.recipes")]
    [InlineData("sail-check/sail-check.csx")]
    [InlineData("sail-check/snippets/sail.csx")]
    [InlineData("sail-check/cases/white-sail.json")]
    [InlineData("wing-check/wing-check.csx")]
    public void Any_changed_byte_of_a_list_or_its_recipes_voids_it(string name)
    {
        ApproveList();
        var house = bench.House();
        var (list, recipes) = Evening();
        Approval.Of(list, recipes, house).State.ShouldBe(ApprovalState.Approved);
        Approval.Require(list, recipes, house);
        byte[] bytes = File.ReadAllBytes(bench.At("shelf/" + name));
        bytes[^2] ^= 1;
        File.WriteAllBytes(bench.At("shelf/" + name), bytes);
        list = RecipeList.Read(bench.At("shelf/evening.recipes"));
        recipes = [bench.Source("wing-check"), bench.Source()];
        Approval.Of(list, recipes, house).Words.ShouldBe($"{name} changed after it was approved");
        Bench.CodeOf(() => Approval.Require(list, recipes, house)).ShouldBe(Codes.NotApproved);
    }

    [Fact]
    public void A_list_may_be_kept_when_it_or_each_of_its_recipes_is_approved()
    {
        var house = bench.House();
        var (list, recipes) = Evening();
        Bench.CodeOf(() => Approval.Require(list, recipes, house)).ShouldBe(Codes.NotApproved);
        Approval.Require(list, recipes, House.None);
        bench.Approve();
        Bench.CodeOf(() => Approval.Require(list, recipes, house)).ShouldBe(Codes.NotApproved);
        Approval.Give(recipes[0], 1, bench.Foreman, "Mara", Bench.Today, () => []);
        Approval.Require(list, recipes, house);
        // The other way round: the list's signature is none of its recipes', and a stranger's is none.
        File.Delete(bench.Lock);
        ApproveList(bench.Stranger);
        Bench.CodeOf(() => Approval.Require(list, recipes, house)).ShouldBe(Codes.NotApproved);
        ApproveList();
        Approval.Require(list, recipes, house);
        Bench.CodeOf(() => Approval.Require(recipes[1], house)).ShouldBe(Codes.NotApproved);
        // Nor does a list's lock file become a recipe's by another name, or a recipe's a list's.
        File.Copy(bench.At("shelf/evening.recipes.lock"), bench.Lock);
        State().ShouldBe(ApprovalState.Void);
        File.Delete(bench.Lock);
        bench.Approve();
        File.Copy(bench.Lock, bench.At("shelf/evening.recipes.lock"), overwrite: true);
        Approval.Of(list, recipes, house).Words.ShouldBe("its lock file is that of another recipe, 'sail-check'");
    }

    [Fact]
    public void Each_signature_counts_or_not_by_itself()
    {
        Approval.OfEach(bench.Source(), bench.House()).ShouldBeEmpty();
        bench.Approve(bench.Stranger);
        bench.Approve();
        var each = Approval.OfEach(bench.Source(), bench.House());
        each.ToDictionary(one => one.Signature.Key, one => one.Worth.State)
            .ShouldBe(new Dictionary<string, ApprovalState> { [bench.Stranger.Public.Sha256] = ApprovalState.Foreign, [bench.Foreman.Public.Sha256] = ApprovalState.Approved }, ignoreOrder: true);
        Approval.Of(bench.Source(), bench.House()).State.ShouldBe(ApprovalState.Approved);

        // Changed since: neither counts any longer.
        bench.Write("shelf/sail-check/cases/white-sail.json", "{}");
        Approval.OfEach(bench.Source(), bench.House()).Select(one => one.Worth.State).ShouldBe([ApprovalState.Void, ApprovalState.Void]);
    }

    [Fact]
    public void A_stranger_s_key_is_not_the_house_s()
    {
        bench.Approve(bench.Stranger);
        State().ShouldBe(ApprovalState.Foreign);
        Bench.CodeOf(() => Approval.Require(bench.Source(), bench.House())).ShouldBe(Codes.NotApproved);
        // Naming the foreman's key doesn't make it his signature.
        File.WriteAllText(bench.Lock, File.ReadAllText(bench.Lock).Replace(bench.Stranger.Public.Sha256, bench.Foreman.Public.Sha256, StringComparison.Ordinal));
        State().ShouldBe(ApprovalState.Void);
    }

    [Fact]
    public void A_retired_key_holds_for_its_time_and_a_revoked_one_for_nothing()
    {
        bench.Approve();
        State(", \"until\": \"2026-11-25\"").ShouldBe(ApprovalState.Approved);
        State(", \"until\": \"2026-11-24\"").ShouldBe(ApprovalState.Void);
        State(", \"revoked\": \"2026-12-24\"").ShouldBe(ApprovalState.Void);
        bench.Approve(on: new DateOnly(2020, 1, 1));
        State(", \"revoked\": \"2026-11-25\"").ShouldBe(ApprovalState.Void);
    }

    [Fact]
    public void Keys_rotate_without_a_gap()
    {
        // The new key signs beside the old one; once the house lists it, the old one may go.
        bench.Approve();
        bench.Approve(bench.Stranger).Approvals.Select(approval => approval.Key).ShouldBe([bench.Foreman.Public.Sha256, bench.Stranger.Public.Sha256]);
        State().ShouldBe(ApprovalState.Approved);
        File.Copy(bench.At("keys/stranger.pub.pem"), bench.At("house/next.pem"));
        var rotated = Parsed("""{ "house": 1, "requireApproval": true, "keys": [ { "name": "next", "file": "next.pem" }, { "name": "foreman", "file": "foreman.pem", "revoked": "2026-11-26" } ] }""");
        Approval.Of(bench.Source(), rotated).Words.ShouldBe("approved by Mara on 2026-11-25 with the key next, cases: none");
        // The same key again replaces its own signature; changed content drops them all.
        bench.Approve(bench.Stranger).Approvals.Length.ShouldBe(2);
        File.AppendAllText(bench.Recipe, "\n");
        bench.Approve().Approvals.ShouldHaveSingleItem().Key.ShouldBe(bench.Foreman.Public.Sha256);
    }

    [Fact]
    public void Two_that_approve_at_once_lose_no_signature()
    {
        bench.Approve();
        string one = File.ReadAllText(bench.Lock);
        HeldFile.TryHold(bench.Lock, out var other).ShouldBeTrue();
        Bench.CodeOf(() => bench.Approve(bench.Stranger)).ShouldBe(Codes.ApprovalInUse);
        Codes.ApprovalInUse.Exit.ShouldBe(ExitCode.Conflict);
        File.ReadAllText(bench.Lock).ShouldBe(one);
        other.ShouldNotBeNull().Dispose();
        // Read before the foreman signed, signed after: what counts is what the lock file holds at the end.
        File.Delete(bench.Lock);
        var read = bench.Source();
        bench.Approve();
        Approval.Give(read, 2, bench.Stranger, "Jo", Bench.Today, () => []).Approvals.Select(approval => approval.By).ShouldBe(["Mara", "Jo"]);
        File.ReadAllText(bench.Lock).ShouldStartWith(one[..one.IndexOf("signature", StringComparison.Ordinal)]);
        Directory.EnumerateFiles(Path.GetDirectoryName(bench.Lock)!).Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(["sail-check.csx", "sail-check.lock", "sail-check.md"]);
    }

    [Fact]
    public async Task In_a_read_only_folder_nothing_is_signed_and_nothing_changes()
    {
        Child.Need(Child.IsRoot && File.Exists("/usr/bin/setpriv"), "Needs root and setpriv, to run as a user without rights.");
        string room = Directory.CreateDirectory(bench.At("nobody")).FullName, keys = Path.Combine(room, "keys");
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(bench.Folder, (UnixFileMode)0b111_101_101);
            File.SetUnixFileMode(room, (UnixFileMode)0b111_111_111);
        }

        Child.Need((await Child.RunAsNobody("new-key", keys, "night")).Exit == 0, "A user without rights can't run the tests' output here.");
        bench.Approve();
        string before = File.ReadAllText(bench.Lock);
        var (exit, output) = await Child.RunAsNobody("approve", bench.Recipe, keys, "night");
        exit.ShouldBe((int)ExitCode.Output, output);
        output.ShouldStartWith("R8002");
        File.ReadAllText(bench.Lock).ShouldBe(before);
        Directory.EnumerateFiles(Path.GetDirectoryName(bench.Lock)!).Count().ShouldBe(3);
    }

    [Fact]
    public void What_fails_its_cases_is_not_signed()
    {
        Bench.CodeOf(() => Approval.Give(bench.Source(), 2, bench.Foreman, "Mara", Bench.Today, () => Cases(3, 1))).ShouldBe(Codes.CasesFailed);
        File.Exists(bench.Lock).ShouldBeFalse();
        Approval.Give(bench.Source(), 2, bench.Foreman, "Mara", Bench.Today, () => Cases(3, 0)).Approvals[0].Cases.ShouldBe("3 passed");
        Bench.CodeOf(() => Approval.Give(bench.Source(), 2, bench.Foreman, "Mara\nkey x", Bench.Today, () => [])).ShouldBe(Codes.BadUsage);
    }

    [Theory]
    [InlineData("shelf/sail-check/cases/white-sail.json", "{ \"art\": \"other.png\" }\n")]
    [InlineData("shelf/sail-check/cases/late.json", "{}\n")]
    public void What_is_signed_is_what_was_tested(string name, string later)
    {
        var (list, recipes) = Evening();
        Bench.CodeOf(() => Approval.Give(list, recipes, bench.Foreman, "Mara", Bench.Today, Meddled)).ShouldBe(Codes.ChangedWhileApproved);
        File.Exists(bench.At("shelf/evening.recipes.lock")).ShouldBeFalse();

        CaseVerdict[] Meddled()
        {
            bench.Write(name, later);
            return Cases(1, 0);
        }
    }

    [Fact]
    public async Task A_lock_file_that_can_t_be_read_keeps_its_signatures()
    {
        Child.Need(Child.IsRoot && File.Exists("/usr/bin/setpriv"), "Needs root and setpriv, to run as a user without rights.");
        string room = Directory.CreateDirectory(bench.At("nobody")).FullName, keys = Path.Combine(room, "keys");
        bench.Approve();
        byte[] before = File.ReadAllBytes(bench.Lock);
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(bench.Folder, (UnixFileMode)0b111_101_101);
            File.SetUnixFileMode(room, (UnixFileMode)0b111_111_111);
            File.SetUnixFileMode(Path.GetDirectoryName(bench.Lock)!, (UnixFileMode)0b111_111_111);
            File.SetUnixFileMode(bench.Lock, (UnixFileMode)0b110_000_000);
        }

        Child.Need((await Child.RunAsNobody("new-key", keys, "night")).Exit == 0, "A user without rights can't run the tests' output here.");
        var (exit, output) = await Child.RunAsNobody("approve", bench.Recipe, keys, "night");
        exit.ShouldBe((int)ExitCode.NotApproved, output);
        output.ShouldStartWith("R6103");
        File.ReadAllBytes(bench.Lock).ShouldBe(before);
    }

    private static CaseVerdict[] Cases(int passed, int failed) =>
        [.. Enumerable.Range(0, passed + failed)
            .Select(i => new CaseOutcome { Name = $"case {i}", Path = $"{i}.json", Differences = i < passed ? [] : ["changed: 3 was expected, and it is 4"] })
            .Select(outcome => outcome.Verdict("recipe.csx"))];

    [Fact]
    public void A_lock_file_is_no_link()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        bench.Approve();
        RecipeLock.Read(bench.Lock).ShouldNotBeNull();
        File.Move(bench.Lock, bench.At("elsewhere"));
        File.CreateSymbolicLink(bench.Lock, bench.At("elsewhere"));
        Bench.CodeOf(() => RecipeLock.Read(bench.Lock)).ShouldBe(Codes.ApprovalVoid);
    }

    [Fact]
    public void Openssl_verifies_the_signature_and_reads_the_keys()
    {
        bench.Approve();
        // docs/approval.md shows these commands. OpenSSL is the independent implementation of FIPS 186-5 and RFC 5480 here; signatures are
        // randomized, so there is no value to compare (RFC 6979 would make them deterministic, and verifies the same).
        bench.Run("sh", "-c", """
            set -e
            grep -v '^signature ' shelf/sail-check/sail-check.lock > text
            sed -n 's/^signature //p' shelf/sail-check/sail-check.lock | base64 -d > signature
            openssl dgst -sha256 -verify keys/foreman.pub.pem -signature signature text
            """).ShouldBe((0, "Verified OK\n"));
        var (exit, sum) = bench.Run("sh", "-c", "openssl pkey -pubin -in keys/foreman.pub.pem -outform DER | sha256sum");
        exit.ShouldBe(0);
        sum.ShouldStartWith(bench.Foreman.Public.Sha256);
        bench.Run("sh", "-c", "openssl pkey -in keys/foreman.pem -noout -text").Out.ShouldContain("prime256v1");
        bench.Run("sh", "-c", "openssl pkey -in keys/foreman.pem -pubout | diff - keys/foreman.pub.pem").ShouldBe((0, ""));
    }

    [Fact]
    public void A_signature_that_openssl_made_holds()
    {
        bench.Approve();
        string text = File.ReadAllText(bench.Lock);
        string claim = text[..text.IndexOf("signature ", StringComparison.Ordinal)];
        bench.Write("text", claim);
        var (exit, signature) = bench.Run("sh", "-c", "openssl dgst -sha256 -sign keys/foreman.pem text | base64 -w 0");
        exit.ShouldBe(0);
        File.WriteAllText(bench.Lock, $"{claim}signature {signature}\n");
        State().ShouldBe(ApprovalState.Approved);
    }

    [Fact]
    public void A_private_key_is_its_owner_s_alone()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has other permissions.");
        bench.Run("stat", "-c", "%a", "keys", "keys/foreman.pem").ShouldBe((0, "700\n600\n"));
        Bench.CodeOf(() => SigningKey.Create("foreman", bench.At("keys"))).ShouldBe(Codes.OutputExists);
        bench.Run("chmod", "640", "keys/foreman.pem").Exit.ShouldBe(0);
        Bench.CodeOf(() => bench.Key("foreman")).ShouldBe(Codes.BadKey);
        Bench.CodeOf(() => SigningKey.Find(null, bench.At("keys"))).ShouldBe(Codes.UnknownKey);
        Bench.CodeOf(() => SigningKey.Find("nobody", bench.At("keys"))).ShouldBe(Codes.UnknownKey);
        Bench.CodeOf(() => SigningKey.Create("../mine", bench.At("keys"))).ShouldBe(Codes.BadUsage);
    }

    [Fact]
    public void Other_kinds_of_keys_are_refused()
    {
        using var rsa = RSA.Create(2048);
        using var large = ECDsa.Create(ECCurve.NamedCurves.nistP384);
        string good = File.ReadAllText(bench.At("keys/foreman.pub.pem")), secret = File.ReadAllText(bench.At("keys/foreman.pem"));
        foreach (string pem in (string[])["", "no key", secret, good + good, good + secret, good.Replace('M', '!'), rsa.ExportSubjectPublicKeyInfoPem(), large.ExportSubjectPublicKeyInfoPem()])
        {
            Bench.CodeOf(() => PublicKey.FromPem("bad", pem, new Place("bad.pem"))).ShouldBe(Codes.BadKey, pem);
        }

        PublicKey.FromPem("good", good, new Place("good.pem")).Sha256.ShouldBe(bench.Foreman.Public.Sha256);
    }

    [Theory]
    [InlineData("")]
    [InlineData("[]")]
    [InlineData("""{ "house": 2, "requireApproval": true }""")]
    [InlineData("""{ "requireApproval": true }""")]
    [InlineData("""{ "house": 1, "requireAproval": true, "requireApproval": false }""")]
    [InlineData("""{ "house": 1, "requireApproval": "no" }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "requireApproval": false }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "keys": {} }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "keys": [ { "name": "a", "file": "missing.pem" } ] }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "keys": [ { "name": "a", "file": "../keys/foreman.pub.pem" } ] }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "keys": [ { "name": "a", "file": "foreman.pem" }, { "name": "b", "file": "foreman.pem" } ] }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "keys": [ { "name": "a", "file": "foreman.pem", "until": "soon" } ] }""")]
    [InlineData("""{ "house": 1, "requireApproval": true, "keys": [ { "name": "a", "file": "foreman.pem", "revoked": null } ] }""")]
    public void A_house_that_can_t_be_read_closes_the_house(string json)
    {
        bench.House();
        Bench.CodeOf(() => Parsed(json)).ShouldBe(Codes.BadHouse);
    }

    [Fact]
    public void The_first_house_counts_alone()
    {
        bench.House();
        bench.Write("mine/house.json", """{ "house": 1, "requireApproval": false }""");
        House.Read([bench.At("nowhere"), bench.At("house"), bench.At("mine")]).RequiresApproval.ShouldBeTrue();
        House.Read([bench.At("nowhere")]).ShouldBe(House.None);
        Directory.CreateDirectory(bench.At("odd/house.json"));
        Bench.CodeOf(() => House.Read([bench.At("odd"), bench.At("mine")])).ShouldBe(Codes.BadHouse);
    }

    private House Parsed(string json)
    {
        File.WriteAllText(bench.At("house/house.json"), json, new UTF8Encoding(false));
        return House.Read([bench.At("house")]);
    }
}
