# Completion of keepway for fish: the program itself knows what can follow, else files.
function __keepway_candidates
    set -l words (commandline -opc) (commandline -ct)
    $words[1] complete $words[2..-1] 2>/dev/null
end
complete -c keepway -a '(__keepway_candidates)'
