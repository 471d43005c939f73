using System.Diagnostics;
using System.Text.RegularExpressions;

namespace Recipes.Cli.Tests;

/// <summary>What every command promises: one JSON object, two channels, help with an example.</summary>
public sealed class ContractTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    /// <summary>The commands, in an order in which each of them can end with 0.</summary>
    private static readonly string[] Job =
    [
        "list", "show printable-whites", "setups", "setups show black-garment", "setups use light-garment", "check ring.png --out checked", "run clean-background ring.png -o out",
        "dry-run printable-whites ring.png", "commit --dry-run ring.png.dry-run --by night-shift", "history ring.png", "undo ring.png", "redo ring.png",
        "export ring.png -o print.png", "history --all", "list --new", "compare ring.png print.png", "commit clean-background ring.png",
        "gang ring.png -o tests.png", "chart -o chart.png --grid 3 --gray 0", "match --measured measured.txt --target #b06050 -o red.json",
        "keys new press-room", "keys", "pack printable-whites -o whites.pack", "completion bash", "completion zsh", "completion fish", "completion powershell", "docs man", "docs recipes print-black -o pages", "demo",
    ];

    [Fact]
    public void With_json_every_command_writes_exactly_one_object_and_nothing_else()
    {
        Picture.WriteRing(shop.At("ring.png"));
        File.Copy(Path.Combine(Shop.Root, "tests/Recipes.Codecs.Tests/Values/cgats/synthetic_rgb_125.txt"), shop.At("measured.txt"));
        foreach (string command in Job)
        {
            var answer = shop.Json(command.Split(' ')).ShouldExit(0);
            answer.Json.Take(5).Select(field => field.Key).ShouldBe(["schema", "command", "ok", "exit", "problems"], command);
            ((int)answer.Json["schema"]!).ShouldBe(1);
            command.ShouldStartWith((string)answer.Json["command"]!);
            ((bool)answer.Json["ok"]!).ShouldBeTrue();
            ((int)answer.Json["exit"]!).ShouldBe(0);
            answer.Json["problems"]!.AsArray().ShouldBeEmpty();
            answer.Err.ShouldBeEmpty(command);
        }
    }

    [Fact]
    public void For_people_the_answer_goes_to_standard_output_and_only_trouble_to_standard_error()
    {
        Picture.WriteRing(shop.At("ring.png"));
        File.Copy(Path.Combine(Shop.Root, "tests/Recipes.Codecs.Tests/Values/cgats/synthetic_rgb_125.txt"), shop.At("measured.txt"));
        foreach (string command in Job)
        {
            var answer = shop.Run(command.Split(' ')).ShouldExit(0);
            answer.Out.ShouldNotBeNullOrWhiteSpace(command);
            answer.Err.ShouldBeEmpty(command);
        }

        shop.Run("check", "ring.png", "--quiet").ShouldExit(0).ShouldBe(new Answer(0, "", ""));
        var failed = shop.Run("check", "nothing.png").ShouldExit(3);
        failed.Out.ShouldBeEmpty();
        failed.Err.ShouldStartWith("nothing.png: error R3001: ");
        var timed = shop.Run("dry-run", "printable-whites", "ring.png", "--timings", "--verbose").ShouldExit(0);
        timed.Out.ShouldContain(" ms");
        File.ReadAllText(shop.At("ring.png.dry-run/report.json")).ShouldContain("\"pictures\": ");
        File.ReadAllText(shop.At("ring.png.dry-run/report.html")).ShouldContain("<h2>How long it took</h2>");
        shop.Json("dry-run", "printable-whites", "ring.png", "--verbose").ShouldExit(0).Json["milliseconds"]!["run"].ShouldNotBeNull();
        File.ReadAllText(shop.At("ring.png.dry-run/report.json")).ShouldNotContain("milliseconds");
    }

    [Theory]
    [InlineData("")]
    [InlineData("check")]
    [InlineData("dry-run")]
    [InlineData("commit")]
    [InlineData("undo")]
    [InlineData("redo")]
    [InlineData("history")]
    [InlineData("compare")]
    [InlineData("export")]
    [InlineData("run")]
    [InlineData("chart")]
    [InlineData("match")]
    [InlineData("gang")]
    [InlineData("list")]
    [InlineData("show")]
    [InlineData("setups")]
    [InlineData("setups show")]
    [InlineData("setups use")]
    [InlineData("garments")]
    [InlineData("garments show")]
    [InlineData("keys")]
    [InlineData("keys new")]
    [InlineData("approve")]
    [InlineData("pack")]
    [InlineData("add")]
    [InlineData("update")]
    [InlineData("preview")]
    [InlineData("test")]
    [InlineData("doctor")]
    [InlineData("new")]
    [InlineData("ticket")]
    [InlineData("printed")]
    [InlineData("note")]
    [InlineData("carry-over")]
    [InlineData("docs recipes")]
    [InlineData("docs man")]
    [InlineData("completion")]
    [InlineData("demo")]
    public void Help_shows_an_example_and_the_manual_page_says_the_same(string command)
    {
        var help = shop.Run([.. command.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--help"]).ShouldExit(0);
        help.Err.ShouldBeEmpty();
        if (command.Length > 0)
        {
            help.Out.ShouldContain("Example:");
            help.Out.ShouldContain($"recipes {command}");
        }

        // The manual page is text of man(7): dashes are written \-, \fB and the like change the font, .SS begins a command's part.
        string manual = Regex.Replace(Manual.Value.Replace("\\-", "-", StringComparison.Ordinal), @"\\f[BIR]", "");
        string forAll = manual.Split("\n.SH ").Single(section => section.StartsWith("OPTIONS\n", StringComparison.Ordinal));
        string part = forAll + (command.Length == 0 ? "" : manual.Split("\n.SS \"").Single(section => Regex.Match(section, "^[a-z-]+( [a-z-]+)*").Value == command));
        var options = Regex.Matches(help.Out, @"^  (-\S.*?)(?:  +(\S.*?))?(?: \[default: ([^\]]*)\])?$", RegexOptions.Multiline).ToList();
        foreach (var option in options)
        {
            foreach (Match name in Regex.Matches(option.Groups[1].Value, @"(?<![\w-])--?[\w?][\w-]*"))
            {
                Regex.IsMatch(part, $@"(?<![\w-]){Regex.Escape(name.Value)}(?![\w-])").ShouldBeTrue($"{command}: {name.Value}");
            }

            part.ShouldContain(option.Groups[2].Value.Replace("\"", "\\(dq", StringComparison.Ordinal), Case.Sensitive, command);
            part.ShouldContain(option.Groups[3].Success ? $"[default: {option.Groups[3].Value}]" : "", Case.Sensitive, command);
        }

        options.ShouldNotBeEmpty();
        string commands = help.Out.Split("\nExample:\n")[0].Split("\nCommands:\n") is [_, var list] ? list : "";
        foreach (Match sub in Regex.Matches(commands, "^  ([a-z-]+)", RegexOptions.Multiline))
        {
            manual.ShouldMatch($"\n\\.SS \"{$"{command} {sub.Groups[1].Value}".Trim()}[ \"]");
        }
    }

    // groff of Debian's groff-base tells what it can't read; the page must give it nothing to tell.
    [Fact]
    public void The_manual_page_is_one()
    {
        Shop.Needs(File.Exists("/usr/bin/groff"), "groff");
        using var groff = shop.StartWith("/usr/bin/groff", "-man", "-ww", "-z", "-Tutf8", shop.Write("recipes.1", Manual.Value));
        Shop.End(groff).ShouldExit(0).ShouldBe(new Answer(0, "", ""));
        foreach (var code in Enum.GetValues<Problems.ExitCode>())
        {
            Manual.Value.ShouldContain($"\n.B {(int)code}\n");
        }
    }

    private static readonly Lazy<string> Manual = new(() =>
    {
        using var shop = new Shop(empty: true);
        return shop.Run("docs", "man").ShouldExit(0).Out;
    });

    [Fact]
    public void The_version_is_three_numbers() => shop.Run("--version").ShouldExit(0).Out.Trim().ShouldMatch(@"^\d+\.\d+\.\d+");

    // In a home where nothing was compiled yet: the words come from the recipes' text.
    private static readonly (string Line, string Expected)[] Completed =
    [
        ("recipes dry-", "dry-run"),
        ("recipes dry-run printable-wh", "printable-whites"),
        ("recipes run house", "house-default"),
        ("recipes update house", ""),
        ("recipes commit --recipes own fir", "first"),
        ("recipes dry-run printable-whites art.png --set ", "also= except= near= only= smallest= where="),
        ("recipes dry-run printable-whites art.png --set where=en", "where=enclosed"),
        ("recipes dry-run clean-background art.png --set ring=", "ring=1.5mm"),
        ("recipes dry-run fit-to-platen art.png --set center=t", "center=true"),
        ("recipes dry-run --recipes own first art.png --set remove-specks.", "remove-specks.area= remove-specks.pattern="),
    ];

    private static Shop BareShop()
    {
        var bare = new Shop(empty: true);
        bare.Write("own/first.recipes", "recipes-list 1\nprint-black\nremove-specks area=0.1mm2\n");
        bare.Write("lines.txt", string.Concat(Completed.Select(tried => tried.Line + "\n")));
        return bare;
    }

    [Fact]
    public void PowerShell_completes_the_same()
    {
        string? pwsh = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Select(folder => Path.Combine(folder, OperatingSystem.IsWindows() ? "pwsh.exe" : "pwsh")).FirstOrDefault(File.Exists);
        Shop.Needs(pwsh is not null, "pwsh, the .NET tool PowerShell");
        using var bare = BareShop();
        bare.Environment["POWERSHELL_TELEMETRY_OPTOUT"] = "1";
        bare.Environment["DOTNET_ROOT"] = Path.GetDirectoryName(Shop.Dotnet)!;
        bare.Write("completion.ps1", bare.Run("completion", "powershell").ShouldExit(0).Out);
        // TabExpansion2 is what the shell itself calls for the key; it must be the program, since the shell completes functions otherwise.
        bare.Write("try.ps1", $$"""
            $env:PATH = '{{Shop.ProgramFolder}}' + [IO.Path]::PathSeparator + $env:PATH
            . ./completion.ps1
            foreach ($line in Get-Content lines.txt) {
                $found = (TabExpansion2 -inputScript $line -cursorColumn $line.Length).CompletionMatches | Where-Object ResultType -eq ParameterValue
                ($found | ForEach-Object CompletionText) -join ' '
            }
            """);
        using var shell = bare.StartWith(pwsh!, "-NoProfile", "-NonInteractive", "-File", "try.ps1");
        var answer = Shop.End(shell).ShouldExit(0);
        answer.Err.ShouldBeEmpty();
        Offered(answer.Out).ShouldBe(Completed);
    }

    [Fact]
    public void Zsh_completes_the_same_and_ends_a_word_only_where_it_is_whole()
    {
        Shop.Needs(File.Exists("/usr/bin/zsh") && File.Exists("/usr/bin/script"), "zsh, and script of bsdutils");
        using var bare = BareShop();
        bare.Environment["DOTNET_ROOT"] = Path.GetDirectoryName(Shop.Dotnet)!;
        bare.Environment["ZDOTDIR"] = bare.Desk;
        bare.Environment["TERM"] = "xterm";
        bare.Write("completion.zsh", bare.Run("completion", "zsh").ShouldExit(0).Out);
        // The shell completes only what is typed at a terminal, which 'script' gives it. Each line is laid into its editor at the first prompt.
        bare.Write(".zshrc", $$"""
            path=('{{Shop.ProgramFolder}}' $path)
            autoload -U compinit && compinit -D -u
            source ./completion.zsh
            setopt no_auto_list
            compadd() {
                if [[ $funcstack[2] == _recipes ]]; then local -a matches; builtin compadd -O matches "$@"; offered+=($matches); fi
                builtin compadd "$@"
            }
            zle-line-init() {
                local line
                while IFS= read -r line; do
                    offered=() BUFFER=$line CURSOR=$#line
                    zle complete-word
                    print -r -- "$offered" >> offered.txt
                    print -r -- "$BUFFER" >> typed.txt
                done < lines.txt
                BUFFER=exit
                zle accept-line
            }
            zle -N zle-line-init
            """);
        using var shell = bare.StartWith("/usr/bin/script", "-qec", "zsh -d -i", "terminal.txt");
        Shop.End(shell).ShouldExit(0);
        Offered(File.ReadAllText(bare.At("offered.txt"))).ShouldBe(Completed);
        File.ReadAllLines(bare.At("typed.txt")).ShouldBe(Completed.Select(tried => tried.Expected.Length == 0 || tried.Expected.Contains(' ', StringComparison.Ordinal)
            ? tried.Line
            : $"{tried.Line[..(tried.Line.LastIndexOf(' ') + 1)]}{tried.Expected}{(tried.Expected.EndsWith('=') ? "" : " ")}"));
    }

    [Fact]
    public void Fish_completes_the_same()
    {
        Shop.Needs(File.Exists("/usr/bin/fish"), "fish");
        using var bare = BareShop();
        bare.Environment["DOTNET_ROOT"] = Path.GetDirectoryName(Shop.Dotnet)!;
        bare.Write("completion.fish", bare.Run("completion", "fish").ShouldExit(0).Out);
        // 'complete -C' is what the shell itself offers for a line; the files of the folder are among it.
        bare.Write("try.fish", $$"""
            set -x PATH '{{Shop.ProgramFolder}}' $PATH
            source completion.fish
            for line in (cat lines.txt)
                set -l found
                for word in (complete -C $line | string split -f 1 \t)
                    test -e (string replace -r '^[^=]*=(?=.)' '' -- $word); or set -a found $word
                end
                echo "$found"
            end
            """);
        using var shell = bare.StartWith("/usr/bin/fish", "--no-config", "try.fish");
        var answer = Shop.End(shell).ShouldExit(0);
        answer.Err.ShouldBeEmpty();
        Offered(answer.Out).ShouldBe(Completed);
    }

    // What a shell offered for each line, sorted.
    private static IEnumerable<(string Line, string Offered)> Offered(string answer) =>
        answer.ReplaceLineEndings("\n").Split('\n')[..^1].Zip(Completed).Select(pair => (pair.Second.Line, string.Join(' ', pair.First.Split(' ').Order(StringComparer.Ordinal))));

    [Fact]
    public void Bash_completes_commands_recipes_lists_parameters_and_their_values()
    {
        Shop.Needs(File.Exists("/bin/bash"), "bash");
        using var bare = BareShop();
        bare.Write("completion.sh", bare.Run("completion", "bash").ShouldExit(0).Out);
        // The shell cuts words at = itself; the function needs only the line and the last piece.
        bare.Write("try.sh", $$"""
            recipes() { '{{Shop.Dotnet}}' exec '{{Path.Combine(Shop.ProgramFolder, "recipes.dll")}}' "$@"; }
            source ./completion.sh
            while IFS= read -r COMP_LINE; do
                COMP_POINT=${#COMP_LINE}
                _recipes
                (IFS=' '; echo "${COMPREPLY[*]}")
            done < lines.txt
            """);
        using var bash = bare.StartWith("/bin/bash", "try.sh");
        var answer = Shop.End(bash).ShouldExit(0);
        answer.Err.ShouldBeEmpty();
        Offered(answer.Out)
            .ShouldBe(Completed.Select(tried => (tried.Line, tried.Expected.EndsWith('=') ? tried.Expected : tried.Expected[(tried.Expected.IndexOf('=', StringComparison.Ordinal) + 1)..])));
        Directory.Exists(Path.Combine(bare.Home, ".cache")).ShouldBeFalse("completion must not compile");
    }

    [Fact]
    public void Without_a_home_everything_works_but_nothing_is_remembered()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Environment["HOME"] = "";
        shop.Json("dry-run", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
        shop.Json("setups", "use", "light-garment").ShouldFail(9, "R8002");
    }

    [Fact]
    public void A_strict_check_ends_with_6_where_it_finds_something()
    {
        Picture.WriteRing(shop.At("ring.png"));
        var found = shop.Json("check", "ring.png", "--setup", "light-garment", "--strict").ShouldFail(6, "R5002").Json["findings"]!.AsArray();
        var white = found.Single(finding => (string)finding!["code"]! == "enclosed-white")!;
        ((long)white["pixels"]!).ShouldBe(256);
        white["box"]!.AsArray().Select(side => (int)side!).ShouldBe([12, 12, 16, 16]);
        ((string)white["recipe"]!).ShouldBe("printable-whites");
        Picture.Write(shop.At("plain.png"), 80, 80, (x, y) =>
            x is >= 20 and < 60 && y is >= 20 and < 60 ? new Recipes.Imaging.Rgba8(90, 140, 60) : Recipes.Imaging.Rgba8.White);
        var plain = shop.Json("check", "plain.png", "--setup", "light-garment", "--strict").ShouldExit(0).Json;
        // 40 x 40 px of one color.
        double millimeters = 25.4 / (double)plain["printPpi"]!;
        plain["colors"]!.AsArray().Select(color => ((string)color!["rgb"]!, (double)color["mm2"]!, (double)color["share"]!))
            .ShouldBe([("#5a8c3c", Math.Round(1600 * millimeters * millimeters, 3), 1)]);
        shop.Run("check", "plain.png", "--setup", "light-garment").ShouldExit(0).Out.ShouldContain("  colors    #5a8c3c  ");
    }
}
